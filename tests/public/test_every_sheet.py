"""Every sheet that can be printed is offered: on a page, or on the shelf."""

import inspect
from pathlib import Path

from tests.bench.bench_paper import ON_PAGES
from tests.people.test_access import ours

HERE = Path(__file__).resolve().parents[2]
OFFERS = [
    HERE / "heritage/public/shelf/selectors.py",
    *(HERE / "templates").rglob("*.html"),
]


def is_sheet(address):
    """Tell it by its name, or by what its view answers."""
    code = inspect.getsource(inspect.unwrap(address.view))
    return "sheet" in address.name or "pdf_response(" in code


def printed():
    return {one.name for one in ours() if is_sheet(one)}


def test_every_sheet_is_offered_somewhere():
    sheets = printed()
    assert {"public:poster", "tally:statement_sheet"} <= sheets
    words = "\n".join(file.read_text(encoding="utf-8") for file in OFFERS)
    assert {name for name in sheets if f'"{name}"' not in words} == set()


def test_every_sheet_is_measured():
    """The bench asks for all that the shelf offers, and for these."""
    shelf = OFFERS[0].read_text(encoding="utf-8")
    offered = {name for name in printed() if f'"{name}"' in shelf}
    assert printed() - offered == ON_PAGES.keys()
