"""What the pages about privacy show."""

from heritage.privacy.selectors.about import ABOUT
from heritage.privacy.selectors.complaining import (
    Asked,
    ComplaintLine,
    ComplaintsPage,
    asked_of_us,
    complaint_line,
    complaints_page,
)
from heritage.privacy.selectors.erasing import (
    Erasing,
    ErasuresPage,
    erasing,
    erasures_page,
)
from heritage.privacy.selectors.everything import tables
from heritage.privacy.selectors.held import Held, Part, Rights, held, rights, shown
from heritage.privacy.selectors.keeping import (
    RULES,
    DueReport,
    Rule,
    due_report,
    is_anything_due,
)
from heritage.privacy.selectors.mentions import Named, Place, named
from heritage.privacy.selectors.merging import (
    MergesPage,
    Merging,
    merges_page,
    merging,
    pickable,
)
from heritage.privacy.selectors.written import COUNTED, IMPERSONAL, UNTOLD, WRITTEN

__all__ = [
    "ABOUT",
    "COUNTED",
    "IMPERSONAL",
    "RULES",
    "UNTOLD",
    "WRITTEN",
    "Asked",
    "ComplaintLine",
    "ComplaintsPage",
    "DueReport",
    "Erasing",
    "ErasuresPage",
    "Held",
    "MergesPage",
    "Merging",
    "Named",
    "Part",
    "Place",
    "Rights",
    "Rule",
    "asked_of_us",
    "complaint_line",
    "complaints_page",
    "due_report",
    "erasing",
    "erasures_page",
    "held",
    "is_anything_due",
    "merges_page",
    "merging",
    "named",
    "pickable",
    "rights",
    "shown",
    "tables",
]
