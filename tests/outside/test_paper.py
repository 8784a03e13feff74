"""Sheets read back by two readers nobody here wrote: pypdf and pdfplumber."""

from io import BytesIO
from itertools import pairwise

import pdfplumber
import pytest
from pypdf import PdfReader

from heritage.kits.paper.blocks import Facts, Heading, PageBreak, Para, Ruled
from tests.kits.sheets import NAMES, make_sheet

BLOCKS = (
    Heading("How"),
    Para("We pull the whole plant."),
    Heading("The measures", 2),
    Facts([("Beets to a stook", "12")]),
    PageBreak(),
    Heading("Sign in"),
    Ruled(["Name", "In"], [(name, "") for name in NAMES], blank_rows=6),
)


@pytest.fixture(scope="module")
def pdf() -> bytes:
    return make_sheet(*BLOCKS)


@pytest.fixture(scope="module")
def reader(pdf) -> PdfReader:
    return PdfReader(BytesIO(pdf), strict=True)


def test_the_file_is_pdf_1_7(pdf, reader):
    assert pdf.startswith(b"%PDF-1.7")
    assert reader.pdf_header == "%PDF-1.7"


def test_title_author_and_language_are_set(reader):
    catalogue = reader.trailer["/Root"]
    assert reader.metadata.title == "Pulling the flax"
    assert reader.metadata.author == "Carrowlint flax"
    assert catalogue["/Lang"] == "en-GB"
    assert catalogue["/ViewerPreferences"]["/DisplayDocTitle"].value
    assert reader.xmp_metadata.dc_title == {"x-default": "Pulling the flax"}


def test_no_date_is_kept(reader):
    assert reader.metadata.creation_date is None
    assert reader.metadata.modification_date is None


def test_every_heading_is_a_bookmark(reader):
    def titles(entries):
        return [
            titles(entry) if isinstance(entry, list) else entry.title
            for entry in entries
        ]

    assert titles(reader.outline) == [
        "Pulling the flax",
        ["How", ["The measures"], "Sign in"],
    ]


def test_bookmarks_lead_to_their_pages(reader):
    signing_in = reader.outline[1][-1]
    assert reader.get_destination_page_number(signing_in) == 1


def test_the_file_says_it_is_tagged(reader):
    catalogue = reader.trailer["/Root"]
    assert catalogue["/MarkInfo"]["/Marked"].value
    assert {page["/Tabs"] for page in reader.pages} == {"/S"}


@pytest.mark.parametrize("name", NAMES)
def test_both_readers_find_every_name(pdf, reader, name):
    """Irish with dots, Polish, Lithuanian, Romanian and Ukrainian letters."""
    with pdfplumber.open(BytesIO(pdf)) as other:
        assert name in other.pages[1].extract_text()
    assert name in reader.pages[1].extract_text()


def test_rows_to_write_in_measure_nine_millimetres(pdf):
    with pdfplumber.open(BytesIO(pdf)) as other:
        page = other.pages[1]
        (head,) = page.search("Name")
        levels = sorted(
            {
                round(line["top"], 3)
                for line in page.lines
                if line["height"] == 0 and head["bottom"] < line["top"] < 740
            }
        )
    heights = [low - high for high, low in pairwise(levels)]
    assert len(heights) == len(NAMES) + 6
    assert min(heights) >= 9 / 25.4 * 72 - 0.01


@pytest.mark.parametrize(("large", "least"), [(False, 14), (True, 18)])
def test_running_text_has_the_editions_size(large, least):
    with pdfplumber.open(BytesIO(make_sheet(large_print=large))) as other:
        words = other.pages[0].extract_words(extra_attrs=["size"])
    sizes = {word["size"] for word in words if word["text"] in {"whole", "plant."}}
    assert {round(size, 2) for size in sizes} == {least}
    assert min(word["size"] for word in words) >= 12


def test_the_foot_says_where_the_sheet_came_from(reader):
    foot = reader.pages[0].extract_text()
    assert "Printed from https://carrowlint.example/pulling" in foot
    assert "Carrowlint flax · Version 3" in foot
    assert "Page 1 of 2" in foot
