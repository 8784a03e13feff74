"""The sheets for visitors: how each stage is done, and when to come."""

from collections.abc import Iterable
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.briefings.sheets import stop_blocks
from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks
from heritage.kits.paper.bill import Bill
from heritage.pictures.models import Licence, Picture
from heritage.public.drawings import DRAWINGS
from heritage.public.selectors import Poster
from heritage.public.shelf.selectors import ProcessPage, ProcessText, process_texts
from heritage.season.models import Demonstration, Stage
from heritage.season.words import drawing_words

JPEG = b"\xff\xd8"
# As many points of a list as stay on one page.
WHOLE = 3
NO_BREAK = "\N{NO-BREAK SPACE}"


def process_sheet(
    page: ProcessPage, *, address: str, printed_on: date, large_print: bool
) -> bytes:
    """Print a stage's process sheet for visitors."""
    text = page.text
    # The drawing explains best, so it comes first where there is one.
    drawing = _drawing(text.drawing)
    photo = _photo(page.picture, width_mm=90 if drawing else 110)
    return paper.sheet(
        title=page.stage.label.capitalize(),
        subtitle=_("From seed to fibre: step %(number)d of %(all)d")
        % {"number": page.number, "all": len(Stage)},
        blocks=[
            paper_blocks.Para(text.what),
            paper_blocks.Para(text.why, lead=_("Why?")),
            *(drawing or photo),
            paper_blocks.Heading(_("How it is done")),
            paper_blocks.Steps(text.how),
            *_cautions(text),
            *(stop_blocks() if not page.stage.kind.indoors else []),
            *(photo if drawing else []),
            *_words(text),
            _more(address),
            *_sources(text),
        ],
        large_print=large_print,
        footer=_footer(page.demonstration, printed_on),
    )


def poster(
    page: Poster,
    *,
    address: str,
    printed_on: date,
    large_print: bool,
    a3: bool = False,
) -> bytes:
    """Print the poster of a gathering, to be read across a yard."""
    row = page.gathering
    zone = row.demonstration.zone
    starts, ends = row.starts_at.astimezone(zone), row.ends_at.astimezone(zone)
    text = process_texts()[Stage(row.stage)]
    needed, extra = _needed_lines(page), _more_lines(page)
    return paper.bill(
        Bill(
            call=text.come,
            word=row.demonstration.crop,
            told=_("A field; some of the crop stands, and people pull it by hand."),
            day=date_format(starts, "l j F"),
            hours=_("%(starts)s to %(ends)s")
            % {"starts": f"{starts:%H:%M}", "ends": f"{ends:%H:%M}"},
            lines=[*needed, *extra],
            needed=len(needed),
            cautions=_poster_cautions(page),
            code=paper_blocks.QR(address, _code_label(page)),
            foot=(
                row.demonstration.name,
                _("Printed %s") % date_format(printed_on, "j F Y"),
            ),
            banner=_("Called off") if page.standing == "off" else "",
        ),
        large_print=large_print,
        a3=a3,
    )


def _code_label(page: Poster) -> str:
    if page.standing == "off":
        return _("See why, and when people meet next")
    return _("Take a place, and see if it goes ahead")


def _needed_lines(page: Poster) -> list[tuple[str, str]]:
    """Say what and where, and who may come: never left off for want of room."""
    row = page.gathering
    lines = [(row.title, ""), (_("Meet at"), row.place), ("", page.line.was)]
    if page.standing != "off":
        lines.append(("", _who_may_come(page)))
    return [(lead, text) for lead, text in lines if lead or text]


def _more_lines(page: Poster) -> list[tuple[str, str]]:
    row = page.gathering
    lines = [
        ("", row.demonstration.directions),
        ("", page.line.light.words.capitalize()),
        (_("Bring"), row.bring),
        (_("Ask"), row.demonstration.contact),
        ("", row.note),
    ]
    return [(lead, text) for lead, text in lines if text]


def _who_may_come(page: Poster) -> str:
    """Say what to know before one sets out."""
    who = (
        _("Adults only, no children.")
        if page.is_for_adults
        else _("A child comes with an adult who answers for them.")
    )
    come = _("No experience needed. A safety briefing comes first.")
    return f"{come} {who}"


def _poster_cautions(page: Poster) -> list[paper_blocks.Caution]:
    """Say the danger of the water, and that it isn't sure to go ahead."""
    cautions = []
    if page.standing == "hold":
        words = _("Look again before you set out.")
        cautions.append(paper_blocks.Caution("warning", words, word=_("On hold")))
    if page.is_at_water and page.standing != "off":
        back = _("Keep back from the edge.")
        cautions.append(paper_blocks.Caution("warning", back, word=_("Deep water")))
    return cautions


def _footer(demonstration: Demonstration, printed_on: date) -> paper_blocks.Footer:
    day = date_format(printed_on, "j F Y")
    return paper_blocks.Footer(owner=demonstration.name, version=_("Printed %s") % day)


def _drawing(name: str) -> list[paper_blocks.Block]:
    if not name:
        return []
    return [paper_blocks.Figure(DRAWINGS[name](drawing_words(name)), width_mm=95)]


def _photo(picture: Picture | None, *, width_mm: float) -> list[paper_blocks.Block]:
    jpeg = _stored(picture) if picture else b""
    if picture is None or not jpeg.startswith(JPEG):
        return []
    day = date_format(picture.taken_on, "j F Y").replace(" ", NO_BREAK)
    caption = f"{picture.caption} {picture.credit}, {day} ({_licence(picture)})"
    return [
        paper_blocks.Photo(jpeg, picture.alt_text, caption=caption, width_mm=width_mm)
    ]


def _licence(picture: Picture) -> str:
    if picture.licence == Licence.RESERVED:
        return picture.get_licence_display()
    return picture.licence


def _stored(picture: Picture) -> bytes:
    """Return the picture's bytes, or none if the store has lost them."""
    try:
        with picture.large.open("rb") as stored:
            kept: bytes = stored.read()
    except OSError:
        return b""
    return kept


def _cautions(text: ProcessText) -> list[paper_blocks.Block]:
    return [
        paper_blocks.Heading(_("Take care")),
        *[paper_blocks.Caution(kind, words) for kind, words in text.cautions],
        paper_blocks.Para(
            _("This sheet trains nobody. Local codes and licensed practice come first.")
        ),
    ]


def _words(text: ProcessText) -> list[paper_blocks.Block]:
    facts = paper_blocks.Facts(text.words)
    return [paper_blocks.Together([paper_blocks.Heading(_("The local words")), facts])]


def _sources(text: ProcessText) -> list[paper_blocks.Block]:
    sources = [_("How it is done, and why: %s.") % text.steps_from]
    sources += [_cited(claim, source) for claim, source in text.figures]
    blocks = [*_points(_("Where this comes from"), sources)]
    if text.disputed:
        blocks += _points(_("Where the sources differ"), text.disputed)
    return blocks


def _points(title: str, sentences: Iterable[str]) -> list[paper_blocks.Block]:
    """Part a list only where two points stand on either side of the page's end."""
    rows, heading = list(sentences), paper_blocks.Heading(title, level=2)
    if len(rows) <= WHOLE:
        return [paper_blocks.Together([heading, paper_blocks.Bullets(rows)])]
    first, middle, last = rows[:2], rows[2:-2], rows[-2:]
    return [
        paper_blocks.Together([heading, paper_blocks.Bullets(first)]),
        *([paper_blocks.Bullets(middle)] if middle else []),
        paper_blocks.Together([paper_blocks.Bullets(last)]),
    ]


def _cited(claim: str, source: str) -> str:
    return f"{claim} {source[0].upper()}{source[1:]}." if source else claim


def _more(address: str) -> paper_blocks.Block:
    return paper_blocks.QR(address, _("The whole story, and how to join in"))
