"""Sheets: same data same bytes, hostile words, tables, pictures, structure."""

import re
import subprocess
import sys
from dataclasses import replace
from io import BytesIO

import pdfplumber
import pikepdf
import pytest
from PIL import Image
from pypdf import PdfReader

from heritage.kits.charts import counts as charts
from heritage.kits.drawing.marks import Drawing, Line, Text
from heritage.kits.emblem import flax_flower
from heritage.kits.paper.blocks import (
    QR,
    Beside,
    Big,
    Bullets,
    Caution,
    Facts,
    Figure,
    Heading,
    Lines,
    OnePage,
    PageBreak,
    Para,
    Photo,
    Ruled,
    Signature,
    Steps,
    Table,
    Together,
)
from heritage.kits.paper.fit import first_fitting
from heritage.kits.paper.look import Look
from heritage.kits.paper.pictures import without_metadata
from heritage.kits.paper.seal import page_count
from heritage.kits.paper.sheet import sheet
from heritage.tally.drawings import evenings_words
from tests.kits.sheets import NAMES, WORDS, make_jpeg, make_sheet

EVERYTHING = (
    Big("Tuesday, seven in the evening"),
    Heading("How"),
    Steps(["Take a handful.", "Pull straight up."]),
    Bullets(["Gloves", "Water"]),
    Caution("warning", "Wet stems cut."),
    Facts([("Beets to a stook", "12")]),
    Heading("Names", 2),
    Table(
        ["Name", "Beets"],
        [(NAMES[0], "12")],
        align="lr",
        total=("Together", "12"),
        caption="So far",
    ),
    Figure(flax_flower(), "A flax flower.", "The flower", width_mm=40),
    Photo(make_jpeg(), "A field", caption="July", width_mm=60),
    QR("https://carrowlint.example/story", "The story"),
    Together([Para("Kept"), Para("together")]),
    Beside([Caution("safe", "This way out.")], [Caution("mandatory", "Gloves on.")]),
    PageBreak(),
    Ruled(["Name", "In"], [(NAMES[1], "18:05")], blank_rows=40, widths=[3, 1]),
    Lines(3, "Notes"),
    Signature("Lead"),
)


LONG = "word " * 1200


def page_texts(pdf: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(pdf)).pages)


def test_the_same_data_gives_the_same_bytes():
    assert make_sheet(*EVERYTHING) == make_sheet(*EVERYTHING)


def test_another_process_gives_the_same_bytes():
    script = (
        "import sys; from tests.kits.sheets import make_sheet; "
        "sys.stdout.buffer.write(make_sheet())"
    )
    # The second process draws another sheet first: nothing of it may linger.
    make_sheet(Para("Another sheet, with other letters: ŵŷ"))
    other = subprocess.run(  # noqa: S603
        [sys.executable, "-c", script], capture_output=True, check=True
    )
    assert other.stdout == make_sheet()


def test_other_data_gives_other_bytes():
    assert make_sheet(Para("One")) != make_sheet(Para("Two"))


@pytest.mark.parametrize(
    "hostile",
    [
        "<b>&",
        "</para>",
        "&amp; <i>",
        "<img src='x'/>",
        "a\x00b\x0bc",
        "]]>",
        "100 % {x}",
    ],
)
def test_words_print_as_they_were_written(hostile):
    """A volunteer may be called anything."""
    pdf = make_sheet(
        Para(hostile),
        Heading(hostile),
        Ruled(["Name"], [[hostile]]),
        Caution("warning", hostile),
        title=f"For {hostile}",
    )
    seen = re.sub(r"[\x00\x0b]", "", hostile)
    assert text_of(pdf).count(seen) >= 5


def test_line_breaks_are_kept():
    assert "one\ntwo\nthree" in text_of(make_sheet(Para("one\r\ntwo\nthree")))


def test_a_very_long_word_stays_on_the_page():
    assert "w" * 20 in text_of(make_sheet(Para("w" * 400)))


@pytest.mark.parametrize("large", [False, True])
def test_an_address_is_parted_after_a_slash_and_never_inside_a_number(large):
    base = "https://demonstration.carrowlint.example/at/flax-at-carrowlint-2026/"
    url = base + "gatherings/1234567/"
    lines = text_of(make_sheet(QR(url, "Come"), large_print=large)).splitlines()
    parts = [line for line in lines if "/" in line and "Printed from" not in line]
    assert "".join(parts) == url
    assert all(line.endswith("/") for line in parts)
    assert "gatherings/1234567/" in parts[-1]


def test_a_short_address_stays_on_its_line():
    url = "https://carrowlint.example/a/1/story"
    assert url in text_of(make_sheet(QR(url, "Come"))).splitlines()


def test_a_word_is_not_broken_while_other_columns_have_room():
    table = Table(["A", "B"], [("unbreakablefield", "x y z")], widths=[1, 9])
    assert "unbreakablefield" in text_of(make_sheet(table, large_print=True))


def test_words_are_broken_where_no_column_has_room():
    row = ("w" * 40, "v" * 40)
    assert "www" in text_of(make_sheet(Table(["A", "B"], [row], widths=[1, 9])))


def test_the_head_of_a_ruled_table_comes_on_every_page():
    pdf = make_sheet(Ruled(["Volunteer", "Beets"], blank_rows=60))
    pages = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
    assert len(pages) == 3
    assert all("Volunteer" in page for page in pages)


def test_a_heading_stays_with_the_start_of_its_table():
    pdf = make_sheet(
        *[Para("Filling.")] * 14, Heading("Sign in"), Ruled(["N"], [["x"]] * 22)
    )
    pages = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
    assert "Sign in" in pages[0]
    assert "x" in pages[0].split("Sign in")[1]
    assert len(pages) == 2


def test_a_cell_longer_than_a_page_is_carried_over():
    pdf = make_sheet(Ruled(["Note"], [["word " * 1500]]))
    assert text_of(pdf).count("word") == 1500


def test_a_tall_figure_is_shrunk_to_the_page():
    tall = Drawing(10, 4000, (Line(0, 0, 10, 4000),), "Tall", "A tall line")
    assert len(PdfReader(BytesIO(make_sheet(Figure(tall)))).pages) == 1


def test_pages_are_numbered_with_their_total():
    pdf = make_sheet(Para("a"), PageBreak(), Para("b"), PageBreak(), Para("c"))
    pages = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
    assert ["Page 1 of 3" in pages[0], "Page 3 of 3" in pages[2]] == [True, True]


def test_the_words_it_prints_itself_are_handed_in():
    polish = {"page": "Strona {page} z {pages}", "warning": "Uwaga"}
    words = replace(WORDS, **polish)
    pdf = make_sheet(Caution("warning", "Mokro."), language="pl", words=words)
    assert "Strona 1 z 1" in text_of(pdf)
    assert "Uwaga" in text_of(pdf)


def test_a_caution_may_bring_its_own_word():
    pdf = make_sheet(
        Caution("prohibition", "No smoking at the stack.", word="No smoking")
    )
    assert "Do not" not in text_of(pdf)


def test_an_a4_page_turns_on_its_side():
    box = PdfReader(BytesIO(make_sheet(landscape=True))).pages[0].mediabox
    assert (round(box.width), round(box.height)) == (842, 595)


def test_nothing_is_printed_below_clear_print_size():
    """RNIB clear print: 12 points at least; large print 16 at least."""
    assert min(Look().body, Look().small) >= 12
    assert min(Look(large=True).body, Look(large=True).small) >= 16


def sizes_of(pdf):
    with pdfplumber.open(BytesIO(pdf)) as opened:
        return {round(one["size"], 1) for one in opened.pages[0].chars}


def test_one_page_takes_the_largest_size_that_goes_on_it():
    """Short words keep the usual look; more are set closer, then smaller."""
    pair = ("What it is", "Words enough to fill a line of this table, or nearly so")
    found = []
    for count in (3, 24, 29, 33):
        pdf = make_sheet(Facts([pair] * count), one_page=True)
        assert page_count(pdf) == 1, count
        found.append(min(sizes_of(pdf) - {12.0}, default=12.0))
    assert found == sorted(found, reverse=True)
    assert (found[0], found[-1] >= 12) == (14.0, True)
    assert len(set(found)) > 1
    assert sizes_of(make_sheet(Facts([pair] * 3), one_page=True)) == sizes_of(
        make_sheet(Facts([pair] * 3))
    )


def test_what_no_size_gets_on_one_page_runs_over_in_the_usual_one():
    long = Facts([("What it is", "Words")] * 90)
    assert make_sheet(long, one_page=True) == make_sheet(long)
    assert page_count(make_sheet(long)) > 1


def test_what_keeps_together_goes_on_a_page_of_its_own_too():
    """ReportLab says that such blocks are endless; they are measured all the same."""
    pair = ("What it is", "Words enough to fill a line of this table, or nearly so")
    kept = Together([Para("Signed for all"), Signature("Lead")])
    content = [Facts([pair] * 20), Beside([kept], [Para("Beside it")])]
    pdf = make_sheet(OnePage(content), OnePage([kept]))
    assert page_count(pdf) == 2
    assert page_count(make_sheet(*content)) == 2
    beside, kept_at = (
        {one["top"] for one in pdfplumber.open(BytesIO(pdf)).pages[0].search(words)}
        for words in ("Beside it", "Signed for all")
    )
    assert beside == kept_at


def test_what_is_only_tried_is_not_painted():
    """A line too many for the page: it is set closer, and its one page is told once."""
    told: list[int] = []
    pdf = make_sheet(*[Para("A line")] * 24, tell=told.append)
    assert (page_count(pdf), told) == (1, [1])


def trials(room: float, shares: list[float], guess: int) -> tuple[int, list[int]]:
    """Return the look that is found for so much room, and which were asked."""
    asked: list[int] = []

    def needs(number: int) -> float:
        asked.append(number)
        return shares[number] / room

    return first_fitting(needs, shares, guess), asked


def test_the_first_look_that_fits_is_found_in_a_few_trials():
    shares = [look.share for look in Look().closer]
    for number, room in enumerate([*shares, 0.5]):
        for guess in range(len(shares)):
            found, asked = trials(room, shares, guess)
            assert found == number
            assert len(asked) == len(set(asked)) <= 3


def test_a_close_caution_says_its_word_and_its_sentence():
    crowd = Facts([("What it is", "Words")] * 28)
    pdf = make_sheet(crowd, Caution("prohibition", "Stay dry."), one_page=True)
    assert page_count(pdf) == 1
    assert "Do not: Stay dry." in text_of(pdf)


def test_rows_to_write_in_are_nine_millimetres_high():
    assert Look().row == pytest.approx(9 / 25.4 * 72)


def test_a_picture_carries_no_place_on_to_the_paper():
    exif = Image.Exif()
    exif[0x010E] = "GPS-MARKER"
    jpeg = make_jpeg(exif=exif, comment=b"SECRET")
    clean = without_metadata(jpeg)
    assert b"GPS-MARKER" in jpeg
    assert b"GPS-MARKER" not in clean
    assert b"SECRET" not in clean
    assert Image.open(BytesIO(clean)).getpixel((5, 5)) == Image.open(
        BytesIO(jpeg)
    ).getpixel((5, 5))


def test_a_picture_goes_in_as_it_is_and_once_however_often_it_is_shown():
    field, tall = make_jpeg(), make_jpeg((200, 320))
    shown = [Photo(one, "A field", width_mm=60) for one in (field, tall, field)]
    with pikepdf.open(BytesIO(make_sheet(*shown))) as pdf:
        images = [one for page in pdf.pages for one in page.get_images().values()]
        stored = {one.objgen: one.read_raw_bytes() for one in images}
    assert sorted(stored.values()) == sorted([field, tall])


def test_only_jpeg_pictures_go_on_a_sheet():
    with pytest.raises(ValueError, match="Only JPEG"):
        make_sheet(Photo(b"\x89PNG....", "A field"))


@pytest.mark.parametrize(
    ("block", "message"),
    [
        (Ruled(["A", "B"], [["only one"]]), "row of 1 does not fit 2"),
        (Ruled(["A", "B"], widths=[1]), "2 columns need 2 widths"),
        (Table(["A", "B"], [], align="lx"), "2 letters of l, c and r"),
    ],
)
def test_a_table_that_does_not_add_up_is_refused(block, message):
    with pytest.raises(ValueError, match=message):
        make_sheet(block)


def test_a_sheet_needs_a_title():
    with pytest.raises(ValueError, match="needs a title"):
        make_sheet(title="  ")


def test_no_facts_print_nothing():
    assert text_of(make_sheet(Facts([]))) == text_of(make_sheet(Para("")))


def structure(pdf: bytes) -> list[str]:
    """Give the tags in reading order, indented by depth."""
    found = []

    def walk(element, depth):
        if "/S" in element:
            found.append("  " * depth + str(element.S)[1:])
            for kid in element.get("/K", []):
                walk(kid, depth + 1)

    with pikepdf.open(BytesIO(pdf)) as opened:
        for top in opened.Root.StructTreeRoot.K:
            walk(top, 0)
    return found


def test_structure_follows_the_blocks():
    pdf = make_sheet(
        Heading("How"),
        Steps(["Pull."]),
        Table(["N"], [["1"]]),
        Figure(flax_flower()),
        footer=None,
        subtitle="",
    )
    assert structure(pdf) == [
        "Document",
        "  H1",
        "  H2",
        "  L",
        "    LI",
        "      Lbl",
        "      LBody",
        "  Table",
        "    TR",
        "      TH",
        "    TR",
        "      TD",
        "  Figure",
    ]


def test_heading_levels_never_skip():
    tags = structure(make_sheet(Heading("a", 3), Heading("b", 3), Heading("c", 1)))
    assert [tag.strip() for tag in tags if "H" in tag] == ["H1", "H2", "H3", "H2"]


def test_everything_painted_is_marked_or_decoration():
    """No painting operator stands outside marked content, on any page."""
    painting = {"f", "F", "f*", "S", "s", "B", "b", "Do", "Tj", "TJ", "'", "sh"}
    with pikepdf.open(BytesIO(make_sheet(*EVERYTHING))) as pdf:
        for page in pdf.pages:
            depth, loose = 0, []
            for _, operator in pikepdf.parse_content_stream(page):
                name = str(operator)
                depth += (name in {"BDC", "BMC"}) - (name == "EMC")
                if name in painting and depth == 0:
                    loose.append(name)
                assert depth in {0, 1}
            assert loose == []


def test_every_mark_finds_its_element():
    with pikepdf.open(BytesIO(make_sheet(*EVERYTHING))) as pdf:
        numbers = list(pdf.Root.StructTreeRoot.ParentTree.Nums)
        parents = dict(zip(map(int, numbers[::2]), numbers[1::2], strict=True))
        for page in pdf.pages:
            marks = [
                int(operands[1].MCID)
                for operands, operator in pikepdf.parse_content_stream(page)
                if str(operator) == "BDC"
            ]
            assert marks == list(range(len(parents[int(page.obj.StructParents)])))


def test_figures_and_heads_say_what_they_are():
    with pikepdf.open(BytesIO(make_sheet(*EVERYTHING))) as pdf:
        elements = [o for o in pdf.objects if isinstance(o, pikepdf.Dictionary)]
        figures = [str(o.Alt) for o in elements if o.get("/S") == "/Figure"]
        heads = {str(o.A.Scope) for o in elements if o.get("/S") == "/TH"}
    assert sorted(figures) == [
        "A field",
        "A flax flower.",
        "QR code for https://carrowlint.example/story",
    ]
    assert heads == {"/Column", "/Row"}


def test_words_in_a_drawing_are_searchable():
    drawing = Drawing(100, 40, (Text(5, 20, "root end"),), "T", "D")
    assert "root end" in text_of(make_sheet(Figure(drawing)))


@pytest.mark.parametrize("large", [False, True])
def test_words_in_a_chart_are_clear_print_however_small_it_is_asked(large):
    chart = charts.bars([("Tue 14 Jul", 84)], words=evenings_words())
    pdf = make_sheet(Figure(chart, width_mm=30), large_print=large)
    with pdfplumber.open(BytesIO(pdf)) as opened:
        words = opened.pages[0].extract_words(extra_attrs=["size"])
    (unit,) = [word for word in words if word["text"] == "beets"]
    assert round(unit["size"], 2) >= Look(large).small


@pytest.mark.parametrize("before", range(8, 34))
def test_a_heading_and_its_words_stay_with_the_start_of_their_table(before):
    table = Ruled(["Name", "In"], blank_rows=9)
    pdf = make_sheet(
        *[Para("Line.")] * before, Heading("Stones"), Para("Places: four."), table
    )
    page = next(text for text in page_texts(pdf) if "Stones" in text)
    assert "Places" in page
    assert "Name" in page


@pytest.mark.parametrize("before", range(8, 34))
def test_what_is_kept_together_is_measured_with_the_room_above_it(before):
    whole = Together([Heading("Dust"), Facts([("Where", "the barn")]), Para("Last.")])
    pdf = make_sheet(*[Para("Line.")] * before, whole)
    page = next(text for text in page_texts(pdf) if "Dust" in text)
    assert "Last." in page


def test_a_heading_stays_with_its_figure_and_caption():
    tall = Drawing(100, 90, (Line(0, 0, 100, 90),), "Tall", "A tall line")
    figure = Figure(tall, caption="The caption")
    pdf = make_sheet(*[Para("Filling.")] * 12, Heading("The figure"), figure)
    pages = [page.extract_text() for page in PdfReader(BytesIO(pdf)).pages]
    assert "The figure" not in pages[0]
    assert "The figure" in pages[1]
    assert "The caption" in pages[1]


def test_a_title_longer_than_a_page_is_bookmarked_once():
    pdf = make_sheet(Heading("word " * 700))
    outline = PdfReader(BytesIO(pdf)).outline
    assert len(outline[1]) == 1
    assert text_of(pdf).count("word") >= 700


@pytest.mark.parametrize(
    "block",
    [
        Caution("warning", LONG),
        QR("https://carrowlint.example/", LONG),
        Figure(flax_flower(), caption=LONG),
        Table(["Name"], [["x"]], caption=LONG),
        Facts([("Names", LONG)]),
        Steps([LONG]),
        Together([Para(LONG), Heading("Last")]),
        Heading(LONG),
    ],
    ids=lambda block: type(block).__name__,
)
@pytest.mark.parametrize("after", [(), (PageBreak(),), (Para("After."),)])
def test_nothing_is_too_long_to_print(block, after):
    """However long a caution runs, all of it is printed."""
    assert text_of(make_sheet(block, *after)).count("word") >= 1200


def test_nothing_kept_together_prints_nothing():
    assert text_of(make_sheet(Together([]))) == text_of(make_sheet(Para("")))


def test_writing_lines_carry_on_over_the_page():
    pdf = make_sheet(Para("Notes follow."), Lines(40))
    with pdfplumber.open(BytesIO(pdf)) as opened:
        counts = [
            sum(line["width"] > 400 and line["height"] == 0 for line in page.lines)
            for page in opened.pages
        ]
    # Besides the lines: the masthead's two rules, the head's one, each foot's one.
    assert len(counts) == 2
    assert sum(counts) == 40 + 2 + 1 + 2


def test_something_else_is_not_a_block():
    with pytest.raises(TypeError, match="No such block"):
        make_sheet("only words")


def test_lines_and_signatures_need_no_label():
    assert "Signed" in text_of(make_sheet(Lines(2), Signature("")))


def test_subject_and_author_are_the_subtitle_and_the_owner():
    info = PdfReader(BytesIO(make_sheet())).metadata
    assert (info.author, info.subject) == ("Carrowlint flax", "Process sheet 4")
    assert PdfReader(BytesIO(make_sheet(subtitle="", footer=None))).metadata.title


@pytest.mark.parametrize("before", range(0, 60, 5))
def test_no_page_ends_with_a_head_and_a_sliver_of_a_row(before):
    """Whatever stands before a table, its head comes once on a page."""
    duty, task = "Where vehicles cross: at the gate", "Hold people back. " * 4
    pdf = sheet(
        title="Posts",
        language="en-GB",
        words=WORDS,
        large_print=True,
        blocks=[
            Lines(before // 10),
            *[Para("A word.")] * (before % 10),
            Ruled(["Post", "Who", "Chore"], [[duty, "", task]] * 9, widths=[5, 4, 6]),
        ],
    )
    for page in PdfReader(BytesIO(pdf)).pages:
        assert page.extract_text().count("Chore") == 1
