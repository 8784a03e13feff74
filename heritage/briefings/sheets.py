"""The printed safety briefing, and what other sheets take from it.

That is the rules on stopping, and the reading grade at a sheet's foot.
"""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from heritage.briefings.selectors import (
    BriefingSheet,
    ease_of,
    ease_of_lines,
    open_parts,
    parts_of,
    short_of,
    stop_rules,
)
from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks

# As many lines to sign as one page holds under its heading.
ROWS, LARGE_ROWS = 17, 12


def briefing_sheet(
    sheet: BriefingSheet, *, printed_on: date, large_print: bool
) -> bytes:
    """Return a published briefing as a PDF."""
    words, place = sheet.words, sheet.demonstration
    published = sheet.published_at.astimezone(place.zone)
    return paper.sheet(
        title=_("Safety briefing: %s") % words["title"],
        subtitle=_("Version %(number)d, published %(day)s")
        % {"number": sheet.number, "day": f"{published:%d %B %Y}"},
        large_print=large_print,
        blocks=[
            *_aloud(words, large_print=large_print),
            *_parts(words),
            *([] if short_of(words) else _cautions(words)),
            *_stopping(words),
            *_hazards(words),
            # The end stays whole: a last line alone would take a page of its own.
            paper_blocks.Together([*_young_people(words), *_questions(words)]),
            *_signing(sheet.number, LARGE_ROWS if large_print else ROWS),
        ],
        footer=paper_blocks.Footer(
            owner=place.name,
            version=_("Version %(number)d, printed %(day)s")
            % {"number": sheet.number, "day": f"{printed_on:%d %b %Y}"},
        ),
    )


def _aloud(words: dict[str, Any], *, large_print: bool) -> list[paper_blocks.Block]:
    """Return the one page to read out, with every caution; the whole is behind it."""
    task = paper_blocks.Para(words["task"], lead=_("The work:"))
    lines = short_of(words)
    if not lines:
        return [task]
    behind = _("Read this out, then answer questions. The whole briefing is behind it.")
    said: list[paper_blocks.Block]
    said = [task, paper_blocks.Bullets(lines), paper_blocks.Para(behind)]
    care = [*_pair(_cautions(words)), *_questions_open(words)]
    # In large print they are a page each.
    pages = [said, care] if large_print and care else [[*said, *care]]
    return [paper_blocks.OnePage(page) for page in pages]


def _pair(blocks: list[paper_blocks.Block]) -> list[paper_blocks.Block]:
    """Set a heading's cautions beside each other."""
    heading, cautions = blocks[:1], blocks[1:]
    half = (len(cautions) + 1) // 2
    beside = [paper_blocks.Beside(cautions[:half], cautions[half:])]
    return [*heading, *beside] if cautions else []


def _parts(words: dict[str, Any]) -> list[paper_blocks.Block]:
    pairs, missing = parts_of(words), _questions_open(words)
    said_before = bool(short_of(words))
    return [
        *([paper_blocks.Facts(pairs)] if pairs else []),
        *([] if said_before else missing),
    ]


def _questions_open(words: dict[str, Any]) -> list[paper_blocks.Block]:
    """Return what is to be asked for, since it is not written here."""
    missing, ask = open_parts(words), _("Not written here. Ask before you begin:")
    return [paper_blocks.Para("; ".join(missing) + ".", lead=ask)] if missing else []


def _questions(words: dict[str, Any]) -> list[paper_blocks.Block]:
    ease = ease_of(words)
    return [
        paper_blocks.Para(_("Ask now, before the work begins."), lead=_("Questions?")),
        *([paper_blocks.Para(ease.words)] if ease else []),
        paper_blocks.Para(
            _(
                "This sheet supports your judgement. It does not replace a competent "
                "person, your insurer or the law where you are. Follow local codes and "
                "people licensed for the work: where they are stricter, they win."
            )
        ),
    ]


def _cautions(words: dict[str, Any]) -> list[paper_blocks.Block]:
    cautions: list[paper_blocks.Block] = [
        paper_blocks.Caution(caution["mark"], caution["text"], word=caution["heading"])
        for caution in words.get("cautions", [])
    ]
    return [paper_blocks.Heading(_("Cautions")), *cautions] if cautions else []


def _stopping(words: dict[str, Any]) -> list[paper_blocks.Block]:
    rules = words.get("stop_rules", [])
    if not rules:
        return []
    return [
        paper_blocks.Together(
            [paper_blocks.Heading(_("When we stop")), paper_blocks.Bullets(rules)]
        )
    ]


def _hazards(words: dict[str, Any]) -> list[paper_blocks.Block]:
    heading = [paper_blocks.Heading(_("What can hurt you, and what we do about it"))]
    return [
        block
        for number, hazard in enumerate(words.get("hazards", []))
        for block in _hazard(hazard, [] if number else heading)
    ]


def _hazard(
    hazard: dict[str, Any], heading: list[paper_blocks.Heading]
) -> list[paper_blocks.Block]:
    """Return what can hurt somebody, so that a page's end parts only its controls."""
    named, where = hazard["controller"], hazard.get("where", "")
    begun, others = hazard["controls"][:2], hazard["controls"][2:]
    return [
        paper_blocks.Together(
            [
                *heading,
                paper_blocks.Heading(hazard["title"], level=2),
                paper_blocks.Para(hazard["harm"]),
                *([paper_blocks.Para(f"{where}.", lead=_("Where:"))] if where else []),
                *([paper_blocks.Para(named, lead=_("Sees to it:"))] if named else []),
                *([paper_blocks.Bullets(begun)] if begun else []),
            ]
        ),
        *([paper_blocks.Bullets(others)] if others else []),
    ]


def _young_people(words: dict[str, Any]) -> list[paper_blocks.Block]:
    rules = words.get("young_people", [])
    if not rules:
        return []
    return [
        paper_blocks.Heading(_("Young people")),
        paper_blocks.Bullets(rules),
        paper_blocks.Para(
            _("These are for %s. Check that the right place is set.")
            % words.get("jurisdiction", "")
        ),
    ]


def _signing(number: int, rows: int) -> list[paper_blocks.Block]:
    return [
        paper_blocks.PageBreak(),
        paper_blocks.Heading(_("I have heard this briefing and will keep to it")),
        paper_blocks.Para(
            _(
                "Version %d. For a child the adult who answers for them signs. Anybody "
                "who comes late hears it before they start."
            )
            % number
        ),
        paper_blocks.Ruled(
            [_("Name"), _("Signature"), _("Time")],
            blank_rows=rows,
            widths=[5, 5, 2],
        ),
        paper_blocks.Signature(_("who told it")),
    ]


def graded(blocks: Sequence[paper_blocks.Block]) -> list[paper_blocks.Block]:
    """Return a sheet's blocks with their reading grade after them, if they have one."""
    ease = ease_of_lines(_prose(blocks))
    return [*blocks, paper_blocks.Para(ease.words)] if ease else [*blocks]


def graded_alone(
    blocks: Sequence[paper_blocks.Block], *, fixed: Sequence[str]
) -> list[paper_blocks.Block]:
    """Return a sheet's blocks with the reading grade of its fixed words after them.

    For a sheet that is filled in on the spot, in haste: those words are not ours, and
    a grade of them would say nothing of the sheet.
    """
    ease = ease_of_lines(fixed)
    if ease is None:
        return [*blocks]
    ours = _("%(grade)s Graded: our fixed words alone.") % {"grade": ease.words}
    return [*blocks, paper_blocks.Para(ours)]


def _prose(blocks: Sequence[paper_blocks.Block]) -> Iterator[str]:
    """Yield what is read as sentences; names and figures in tables are not."""
    for block in blocks:
        match block:
            case paper_blocks.Together(inner):
                yield from _prose(inner)
            case paper_blocks.Steps(items) | paper_blocks.Bullets(items):
                yield from items
            case paper_blocks.Caution(text=text) | paper_blocks.Para(text=text):
                yield text


def stop_blocks() -> list[paper_blocks.Block]:
    """Return the rules on stopping as one short part of a sheet.

    Anybody may call it, thunder, light, and everybody out.
    """
    points = paper_blocks.Bullets(stop_rules())
    return [paper_blocks.Together([paper_blocks.Heading(_("When we stop")), points])]


def stop_caution() -> paper_blocks.Block:
    """Return the rules on stopping as one panel, where room is short."""
    return paper_blocks.Caution(
        "mandatory", " ".join(stop_rules()), word=_("When we stop")
    )
