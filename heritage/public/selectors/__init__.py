"""What visitors see: the season so far, what comes next, and the sheets."""

from heritage.public.selectors.pages import (
    DemonstrationPage,
    HomeLine,
    HomePage,
    WaterLine,
    demonstration_page,
    home,
)
from heritage.public.selectors.poster import Poster, poster
from heritage.public.selectors.process import (
    ProcessPage,
    ProcessText,
    process_page,
    process_texts,
)
from heritage.public.selectors.shelf import SheetLink, Shelf, shelves

__all__ = [
    "DemonstrationPage",
    "HomeLine",
    "HomePage",
    "Poster",
    "ProcessPage",
    "ProcessText",
    "SheetLink",
    "Shelf",
    "WaterLine",
    "demonstration_page",
    "home",
    "poster",
    "process_page",
    "process_texts",
    "shelves",
]
