"""Every kind of paper before `pdfua`, a checker of PDF/UA-1 that nobody here wrote.

It knows a part of the rules; what it says nothing of is read with pikepdf here.
"""

import tempfile
from functools import cache
from io import BytesIO

import pdfua
import pikepdf
import pytest

from heritage.common.steps import drawing
from heritage.kits.paper import booklet
from heritage.kits.paper.bill import Bill, bill
from heritage.kits.paper.blocks import QR, Caution, Label, Labels, OnePage, Para
from heritage.kits.paper.leaf import Leaf, Part, Step
from tests.kits.sheets import WORDS, make_sheet
from tests.kits.test_paper import EVERYTHING

pytestmark = pytest.mark.any_database

ADDRESS = "https://carrowlint.example/story"


LEAF = Leaf(
    title="Drying",
    eyebrow="Step 11",
    what="Dry straw is kept under a roof. It is dried again.",
    why=("Why?", "Damp wood bends."),
    steps=[
        Step(drawing(f"drying-{number}"), "Straw under a roof.", "Keep it.", "Dry")
        for number in (1, 2, 3)
    ],
    cautions=[Caution("prohibition", "No fire. It catches at once.")],
    trains="This is no training.",
    child="No fire near it.",
    parts=[Part("Words", [("Straw:", "the stems"), ("", "A point.")])],
    code=QR(ADDRESS, "The story"),
    foot=("Carrowlint flax", "Printed 1 July 2026"),
    over="Over the page",
    stops=Part("When we stop", [("", "Anybody may call stop.")] * 3),
)


def findings(pdf: bytes) -> list[str]:
    """Return what `pdfua` finds, warnings too: nothing, if all is well."""
    with tempfile.NamedTemporaryFile(suffix=".pdf") as file:
        file.write(pdf)
        file.flush()
        report = pdfua.validate(file.name)
    return [f"{one.rule_id} {one.message}" for one in report.findings]


def faces_left_out(pdf: bytes) -> set[str]:
    """Return the faces that a file names on any page but does not hold."""
    with pikepdf.open(BytesIO(pdf)) as opened:
        fonts = [
            font
            for page in opened.pages
            for font in page.obj.Resources.get("/Font", {}).values()
        ]
        assert fonts
        return {
            str(font.BaseFont)
            for font in fonts
            if "/FontFile2" not in font.get("/FontDescriptor", {})
        }


@cache
def papers() -> dict[str, bytes]:
    """Return one of each kind of paper, made once."""
    page = Bill(
        call="Come and pull",
        word="flax",
        told="A field; some of the crop stands.",
        day="Tuesday 14 July",
        hours="19:00 to 21:00",
        lines=[("Meet at", "the gate")],
        needed=1,
        cautions=[Caution("warning", "Keep back from the edge.", word="Deep water")],
        code=QR(ADDRESS, "The story"),
        foot=("Carrowlint flax", "Printed 1 July 2026"),
    )
    said = {"language": "en-GB", "words": WORDS}
    said_of = booklet.Cover(
        "All of it", "Flax", "page {page}", LEAF.parts[0], [LEAF, LEAF], LEAF.foot
    )
    labels = Labels([Label("Lot 4", ["Two stooks"], ADDRESS)] * 3)
    return {
        "sheet": make_sheet(*EVERYTHING),
        "large": make_sheet(*EVERYTHING, large_print=True),
        "on its side": make_sheet(*EVERYTHING[:8], landscape=True),
        "one page": make_sheet(OnePage(EVERYTHING[:6]), Para("Behind it"), labels),
        "bill": bill(page, large_print=False, **said),
        "bill on A3": bill(page, large_print=True, a3=True, **said),
        "leaf": booklet.leaf_pdf(LEAF, **said),
        "panel": booklet.panel_pdf(LEAF, **said),
        "card": booklet.card_pdf(LEAF, **said),
        "cards": booklet.cards_pdf("Cards", [LEAF] * 5, **said),
        "booklet": booklet.booklet_pdf(said_of, **said),
    }


KINDS = (
    "sheet", "large", "on its side", "one page", "bill", "bill on A3",
    "leaf", "panel", "card", "cards", "booklet",
)  # fmt: skip


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_found(kind):
    assert findings(papers()[kind]) == []


@pytest.mark.parametrize("kind", KINDS)
def test_no_face_is_left_out(kind):
    assert faces_left_out(papers()[kind]) == set()


@pytest.mark.parametrize("kind", KINDS)
def test_the_claim_the_title_and_the_language_stand_in_the_metadata(kind):
    with pikepdf.open(BytesIO(papers()[kind])) as pdf, pdf.open_metadata() as xmp:
        assert xmp["{http://www.aiim.org/pdfua/ns/id/}part"] == "1"
        assert xmp["dc:title"] == str(pdf.docinfo.Title) != ""
        assert list(xmp["dc:language"]) == [str(pdf.Root.Lang)] == ["en-GB"]
        assert pdf.Root.ViewerPreferences.DisplayDocTitle


@pytest.mark.parametrize("kind", KINDS)
def test_all_that_is_drawn_is_tagged_or_decoration(kind):
    """No ink lies outside marked content, and every mark has its place in the tree."""
    with pikepdf.open(BytesIO(papers()[kind])) as pdf:
        numbers = pdf.Root.StructTreeRoot.ParentTree.Nums
        known = dict(zip(map(int, numbers[::2]), numbers[1::2], strict=True))
        for page in pdf.pages:
            marks, loose = _marks(page)
            assert loose == []
            count = len(known[int(page.obj.get("/StructParents", -1))]) if marks else 0
            assert marks == [*range(count)]


INK = {"f", "f*", "S", "s", "B", "b", "Tj", "TJ", "'", "Do"}


def _marks(page: pikepdf.Page) -> tuple[list[int], list[str]]:
    """Return the numbers of a page's marks in order, and ink outside any mark."""
    depth, marks, loose = 0, [], []
    for operands, operator in pikepdf.parse_content_stream(page):
        name = str(operator)
        depth += {"BMC": 1, "BDC": 1, "EMC": -1}.get(name, 0)
        if name == "BDC":
            marks.append(int(operands[1].MCID))
        if name in INK and not depth:
            loose.append(name)
    return sorted(marks), loose
