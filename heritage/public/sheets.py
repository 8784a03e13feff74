"""The sheets for visitors: how each stage is done, and when to come."""

from collections.abc import Callable
from datetime import date

from django.utils.translation import gettext as _

from heritage.gatherings.selectors import GatheringLine
from heritage.kits import paper, process_drawings
from heritage.kits.drawing import Drawing
from heritage.pictures.models import Picture
from heritage.public.selectors import ProcessPage
from heritage.season.models import Demonstration

DRAWINGS: dict[str, Callable[[], Drawing]] = {
    "beet": process_drawings.beet,
    "stook": process_drawings.stook,
    "pulling": process_drawings.pulling,
    "dam": process_drawings.dam,
    "brake": process_drawings.brake,
    "scutching": process_drawings.scutching,
    "hackle": process_drawings.hackle,
}
DEFERS = (
    "This sheet explains; it does not train anybody. Whoever does the work hears the "
    "briefing first. Local codes and licensed practice come before anything here."
)


def process_sheet(
    page: ProcessPage, *, address: str, printed_on: date, large_print: bool
) -> bytes:
    """Print a stage's process sheet for visitors."""
    text = page.text
    local = {"beets_per_stook": page.demonstration.beets_per_stook}
    blocks: list[paper.Block] = [
        paper.Para(text.what),
        paper.Heading(_("Why")),
        paper.Para(text.why),
        paper.Heading(_("How it is done")),
        paper.Steps([step.format_map(local) for step in text.how]),
        *_drawing(text.drawing),
        *[paper.Caution(kind, words) for kind, words in text.cautions],  # type: ignore[arg-type]
        *_words(text.words, local),
        *_photo(page.picture),
        paper.Heading(_("Where the figures come from")),
        paper.Bullets(text.sources),
        paper.Caution("mandatory", DEFERS),
        paper.QR(address, _("The story so far, and how to join in")),
    ]
    return paper.sheet(
        title=page.stage.label.capitalize(),
        subtitle=_("Process sheet: %s") % page.demonstration.name,
        language="en-GB",
        blocks=blocks,
        large_print=large_print,
        footer=_footer(page.demonstration, printed_on),
    )


def poster(
    line: GatheringLine, *, address: str, printed_on: date, large_print: bool
) -> bytes:
    """Print the poster of a gathering, to be read across a yard."""
    row = line.gathering
    zone = row.demonstration.zone
    starts, ends = row.starts_at.astimezone(zone), row.ends_at.astimezone(zone)
    facts = [(_("Meet at"), row.place), (_("The light"), line.light.words)]
    if row.bring:
        facts.append((_("Bring"), row.bring))
    if row.demonstration.contact:
        facts.append((_("Ask"), row.demonstration.contact))
    return paper.sheet(
        title=row.title,
        subtitle=row.demonstration.name,
        language="en-GB",
        blocks=[
            paper.Big(f"{starts:%A} {starts.day} {starts:%B}"),
            paper.Big(
                _("%(starts)s to %(ends)s")
                % {"starts": f"{starts:%H:%M}", "ends": f"{ends:%H:%M}"}
            ),
            paper.Facts(facts),
            paper.Para(
                _(
                    "No experience is needed. Everybody hears a briefing before they "
                    "begin. A child comes with an adult who answers for them."
                )
            ),
            paper.QR(address, _("Take a place, or see whether it goes ahead")),
        ],
        large_print=large_print,
        footer=_footer(row.demonstration, printed_on),
    )


def _footer(demonstration: Demonstration, printed_on: date) -> paper.Footer:
    day = f"{printed_on.day} {printed_on:%B %Y}"
    return paper.Footer(owner=demonstration.name, version=_("Printed %s") % day)


def _drawing(name: str) -> list[paper.Block]:
    return [paper.Figure(DRAWINGS[name](), width_mm=120)] if name else []


def _words(
    words: tuple[tuple[str, str], ...], local: dict[str, int]
) -> list[paper.Block]:
    if not words:
        return []
    pairs = [(word, meaning.format_map(local)) for word, meaning in words]
    return [paper.Heading(_("The words")), paper.Facts(pairs)]


def _photo(picture: Picture | None) -> list[paper.Block]:
    if picture is None:
        return []
    try:
        with picture.large.open("rb") as stored:
            jpeg = stored.read()
    except OSError:
        # The sheet is worth printing without a picture that the store has lost.
        return []
    day = f"{picture.taken_on.day} {picture.taken_on:%B %Y}"
    caption = f"{picture.caption} {picture.credit}, {day}."
    return [paper.Photo(jpeg, picture.alt_text, caption=caption, width_mm=140)]
