"""What the pages about privacy show."""

from heritage.privacy.selectors.about import ABOUT
from heritage.privacy.selectors.complaining import (
    ComplaintLine,
    ComplaintsPage,
    complaint_line,
    complaints_page,
)
from heritage.privacy.selectors.erasing import (
    Erasing,
    ErasuresPage,
    erasing,
    erasures_page,
)
from heritage.privacy.selectors.held import Held, Part, Rights, held, rights, shown
from heritage.privacy.selectors.written import COUNTED, IMPERSONAL, UNTOLD, WRITTEN

__all__ = [
    "ABOUT",
    "COUNTED",
    "IMPERSONAL",
    "UNTOLD",
    "WRITTEN",
    "ComplaintLine",
    "ComplaintsPage",
    "Erasing",
    "ErasuresPage",
    "Held",
    "Part",
    "Rights",
    "complaint_line",
    "complaints_page",
    "erasing",
    "erasures_page",
    "held",
    "rights",
    "shown",
]
