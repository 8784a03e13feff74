"""Sheets for the shed: looks at the store, and sessions of fibre work."""

from collections.abc import Iterable
from datetime import datetime

from django.utils.translation import gettext as _

from heritage.briefings.sheets import stop_blocks
from heritage.common import sheets as paper
from heritage.fibre.models import Air, SmellOf
from heritage.fibre.store import words as store_words
from heritage.fibre.work import words as work_words
from heritage.kits.paper import blocks as paper_blocks
from heritage.season.models import Demonstration

LOOKS, LARGE_LOOKS = 14, 6
SESSIONS, LARGE_SESSIONS = 13, 5


def store_sheet(
    demonstration: Demonstration, *, printed_at: datetime, large_print: bool
) -> bytes:
    """Return the sheet for looks at the store as a PDF."""
    return paper.sheet(
        title=_("Checks of the store"),
        subtitle=demonstration.place_name,
        large_print=large_print,
        blocks=[
            *caution_blocks(store_words.CAUTIONS),
            paper_blocks.Para(f"{store_words.LIMITS} {store_words.DEFER}"),
            paper_blocks.Heading(_("How to look")),
            paper_blocks.Bullets([str(one) for one in store_words.HOW_TO_LOOK]),
            paper_blocks.PageBreak(),
            paper_blocks.Heading(_("When to look")),
            paper_blocks.Bullets(_when_to_look()),
            paper_blocks.Heading(_("Each look")),
            paper_blocks.Para(_choices()),
            paper_blocks.Ruled(
                [_("Day, time"), _("Air"), _("°C"), _("Smell"), _("% water"),
                 _("Who looked")],
                blank_rows=LARGE_LOOKS if large_print else LOOKS,
                widths=(3, 2.4, 1.4, 2.4, 1.6, 3),
            ),
            paper_blocks.Lines(2, label=_("Notes")),
        ],
        footer=_footer(demonstration, printed_at),
    )  # fmt: skip


def _when_to_look() -> list[str]:
    return [
        _("Every day for the first ten weeks after stacking, then every week."),
        _("Every 4 hours at 50 °C or more inside, or if it is damp or musty."),
        _(
            "At 55 °C, or with a smell of caramel or smoke: keep away, call the fire "
            "service."
        ),
    ]


def _choices() -> str:
    air = _("Air: %s.") % "; ".join(str(label) for label in Air.labels)
    smell = _("Smell: %s.") % "; ".join(str(label) for label in SmellOf.labels)
    return f"{air} {smell}"


def session_sheet(
    demonstration: Demonstration, *, printed_at: datetime, large_print: bool
) -> bytes:
    """Return the sheet to write sessions on as a PDF."""
    return paper.sheet(
        title=_("Breaking, scutching, hackling"),
        subtitle=demonstration.place_name,
        large_print=large_print,
        blocks=[
            *caution_blocks(work_words.CAUTIONS),
            # A page of its own, so that it can be copied.
            paper_blocks.PageBreak(),
            *stop_blocks(),
            *_weights(LARGE_SESSIONS if large_print else SESSIONS),
        ],
        footer=_footer(demonstration, printed_at),
    )


def _weights(rows: int) -> list[paper_blocks.Block]:
    """Return the lines to write what went in and came out on."""
    words = _(
        "A line for each lot and each piece of work, in kilograms. Weigh what goes in "
        "before you begin. What isn't weighed again counts as dust."
    )
    heads = [
        _("Day, from, to"), _("Work"), _("Lot"), _("Beets"), _("In, kg"), _("On, kg"),
        _("Tow, kg"), _("Left, kg"), _("People"),
    ]  # fmt: skip
    widths = (3, 2, 1.2, 1.3, 1.5, 1.5, 1.5, 1.5, 1.5)
    return [
        paper_blocks.Heading(_("Weigh in, weigh out")),
        paper_blocks.Para(words),
        paper_blocks.Ruled(heads, blank_rows=rows, widths=widths),
        paper_blocks.Lines(2, label=_("Notes: moisture, shive, who")),
    ]


def caution_blocks(
    cautions: Iterable[store_words.Danger],
) -> list[paper_blocks.Block]:
    """Return cautions for the top of a sheet."""
    return [_caution(one) for one in cautions]


def _caution(one: store_words.Danger) -> paper_blocks.Block:
    """Return one caution; paper has no mark for fire, so the word says it."""
    heading = str(one.heading)
    if one.mark == "fire":
        word = _("Fire: %s") % heading
        return paper_blocks.Caution("warning", str(one.text), word=word)
    return paper_blocks.Caution(one.mark, str(one.text), word=heading.capitalize())


def _footer(demonstration: Demonstration, printed_at: datetime) -> paper_blocks.Footer:
    printed = printed_at.astimezone(demonstration.zone)
    return paper_blocks.Footer(
        owner=demonstration.name, version=_("Printed %s") % f"{printed:%d %B %Y, %H:%M}"
    )
