"""The process sheets: how a piece of work is done, drawn step by step."""

from collections.abc import Iterator, Sequence
from datetime import date

from django.conf import settings
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.briefings.selectors import stop_rules
from heritage.common import sheets as paper
from heritage.kits.paper import blocks
from heritage.kits.paper.booklet import Cover
from heritage.kits.paper.leaf import Leaf, Part, Step, Tell, to_nobody
from heritage.pictures.models import Licence, Picture
from heritage.public.process.selectors import ProcessPage, Season
from heritage.public.process.words import names
from heritage.season.models import Stage

JPEG = b"\xff\xd8"
NO_BREAK = "\N{NO-BREAK SPACE}"


def process_sheet(
    page: ProcessPage, *, address: str, printed_on: date, large_print: bool = False
) -> bytes:
    """Print a sheet: its drawn steps in front, the rest on the back."""
    if large_print:
        return _large(page, address, printed_on)
    return paper.leaf(process_leaf(page, address=address, printed_on=printed_on))


def process_panel(page: ProcessPage, *, address: str, printed_on: date) -> bytes:
    """Print a sheet's front on A3, to hang in a hall."""
    return paper.panel(process_leaf(page, address=address, printed_on=printed_on))


def process_card(page: ProcessPage, *, address: str, printed_on: date) -> bytes:
    """Print a sheet as a child's card."""
    return paper.card(process_leaf(page, address=address, printed_on=printed_on))


def leaves(season: Season) -> list[Leaf]:
    """Return what every sheet says."""
    return [
        process_leaf(page, address=stage_address(page), printed_on=season.today)
        for page in season.pages
    ]


def booklet_pages() -> int:
    """Say how many pages the booklet has: two before the sheets, two for each."""
    return 2 + 2 * len(names())


def cards_pages() -> int:
    """Say how many pages the cards take, four on each."""
    return -(-len(names()) // 4)


def stage_address(page: ProcessPage) -> str:
    """Return where a sheet's code leads."""
    args = [page.demonstration.slug, page.stage.value]
    return f"{settings.SITE_ADDRESS}{reverse('public:stage', args=args)}"


def cards_title() -> str:
    """Say what all the cards together are called."""
    return _("Cards for children")


def booklet_title() -> str:
    """Say what the booklet is called."""
    return _("From seed to fibre")


def all_cards(leaves: Sequence[Leaf], tell: Tell = to_nobody) -> bytes:
    """Print every card, to be cut apart."""
    return paper.cards(cards_title(), leaves, tell)


def booklet(leaves: Sequence[Leaf], tell: Tell = to_nobody) -> bytes:
    """Print every sheet in one booklet."""
    trains = _(
        "These sheets train nobody. Local codes, and people licensed for the work, "
        "come first."
    )
    rules = [*stop_rules(), trains]
    before = Part(_("Before anybody starts"), [("", rule) for rule in rules])
    home = leaves[0].foot
    return paper.all_leaves(
        Cover(
            title=booklet_title(),
            below=home[0],
            page=_("page {page}"),
            before=before,
            leaves=leaves,
            foot=home,
        ),
        tell,
    )


def process_leaf(page: ProcessPage, *, address: str, printed_on: date) -> Leaf:
    """Return what a sheet says, as the press takes it."""
    text = page.text
    return Leaf(
        title=text.heading,
        eyebrow=_eyebrow(page),
        what=text.what,
        why=(_("Why?"), text.why),
        steps=[Step(one.file, one.shows, one.does, one.child) for one in text.steps],
        cautions=_cautions(page),
        trains=_(
            "This sheet is no training. Local codes, and people licensed for the work, "
            "come first."
        ),
        child=text.child,
        parts=list(_parts(page)),
        code=blocks.QR(address, _("The whole story, and how to join in")),
        foot=(page.demonstration.name, _printed(printed_on)),
        over=_("Over the page: why, figures, and what people dispute"),
        photo=photo(page.picture),
        stops=_stops(page),
    )


def _eyebrow(page: ProcessPage) -> str:
    if page.text.is_stage:
        return _("From seed to fibre: step %(number)d of %(all)d") % {
            "number": page.number,
            "all": len(Stage),
        }
    return _("From seed to fibre: with %s") % page.stage.label


def _printed(day: date) -> str:
    return _("Printed %s") % date_format(day, "j F Y")


def _cautions(page: ProcessPage) -> list[blocks.Caution]:
    return [blocks.Caution(kind, text) for kind, text in page.text.cautions]


def _parts(page: ProcessPage) -> Iterator[Part]:
    """Give the parts of the back, but those that have nothing to say."""
    text = page.text
    told = [
        (_("Why?"), [("", text.why)]),
        (_("What you need"), [("", _needed(text.tools))] if text.tools else []),
        (_("Here, this year"), [("", words) for words in page.here]),
        (_("Two ways, both good"), [(f"{way}:", said) for way, said in text.ways]),
        (_("Where the sources differ"), [("", said) for said in text.disputed]),
        (_("The local words"), [(f"{word}:", said) for word, said in text.words]),
    ]
    yield from (Part(heading, lines) for heading, lines in told if lines)
    if stops := _stops(page):
        yield stops
    yield Part(_("Where this comes from"), [("", said) for said in _sources(page)])


def _needed(tools: Sequence[str]) -> str:
    """Name the tools in one line: "Rake, roller."."""
    said = ", ".join(tools)
    return f"{said[:1].upper()}{said[1:]}."


def _stops(page: ProcessPage) -> Part | None:
    """Say when work outdoors stops."""
    if page.stage.kind.indoors:
        return None
    return Part(_("When we stop"), [("", rule) for rule in stop_rules()])


def _sources(page: ProcessPage) -> list[str]:
    text = page.text
    cited = [_cited(claim, source) for claim, source in text.figures]
    return [_("How it is done, and why: %s.") % text.steps_from, *cited]


def _cited(claim: str, source: str) -> str:
    return f"{claim} {source[0].upper()}{source[1:]}." if source else claim


def photo(picture: Picture | None, *, width_mm: float = 110) -> blocks.Photo | None:
    """Return a picture with its words and whose it is, unless its file is lost."""
    jpeg = _stored(picture) if picture else b""
    if picture is None or not jpeg.startswith(JPEG):
        return None
    day = date_format(picture.taken_on, "j F Y").replace(" ", NO_BREAK)
    caption = f"{picture.caption} {picture.credit}, {day} ({_licence(picture)})"
    return blocks.Photo(jpeg, picture.alt_text, caption=caption, width_mm=width_mm)


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


def _large(page: ProcessPage, address: str, printed_on: date) -> bytes:
    """Print the same in large letters, on as many pages as it takes."""
    leaf = process_leaf(page, address=address, printed_on=printed_on)
    return paper.sheet(
        title=leaf.title,
        subtitle=leaf.eyebrow,
        blocks=[
            blocks.Para(leaf.what),
            *_large_steps(leaf),
            blocks.Heading(_("Take care")),
            *[blocks.Caution(one.kind, one.text) for one in leaf.cautions],
            blocks.Para(leaf.trains),
            *_large_parts(leaf),
            *([leaf.photo] if leaf.photo else []),
            leaf.code,
        ],
        large_print=True,
        footer=blocks.Footer(owner=leaf.foot[0], version=leaf.foot[1]),
    )


def _large_steps(leaf: Leaf) -> Iterator[blocks.Block]:
    yield blocks.Heading(_("How it is done"))
    for number, step in enumerate(leaf.steps, start=1):
        drawn = blocks.Sketch(step.drawing, step.shows, width_mm=80)
        yield blocks.Together([drawn, blocks.Steps([step.does], first=number)])


def _large_parts(leaf: Leaf) -> Iterator[blocks.Block]:
    for part in leaf.parts:
        yield blocks.Heading(part.heading)
        yield from (blocks.Para(text, lead=lead) for lead, text in part.lines)
