"""The treading rota on paper: who comes when, with room for a tick and a name."""

from collections.abc import Iterator, Sequence
from datetime import datetime
from itertools import groupby

from django.utils.translation import gettext as _

from heritage.common import sheets as paper
from heritage.dam.models import RotaPlan
from heritage.dam.sheets import caution_blocks
from heritage.dam.treading.selectors import TurnLine
from heritage.kits.paper import blocks as paper_blocks

WIDTHS = (2.3, 1.4, 4.4, 1.2, 4)
LARGE_WIDTHS = (2.9, 1.6, 4.6, 1.4, 3)


def rota_sheet(
    plan: RotaPlan,
    lines: Sequence[TurnLine],
    *,
    printed_at: datetime,
    large_print: bool,
) -> bytes:
    """Return the rota of the turns to come as a PDF, to hang where all can read it."""
    ret, where = plan.ret, plan.ret.dam.demonstration
    printed = printed_at.astimezone(where.zone)
    ahead = [line for line in lines if not line.is_over]
    return paper.sheet(
        title=_("Treading rota: %s") % ret.dam.name,
        subtitle=_("Morning turn %(morning)s, evening turn %(evening)s")
        % {"morning": f"{plan.morning:%H:%M}", "evening": f"{plan.evening:%H:%M}"},
        large_print=large_print,
        blocks=[
            *caution_blocks(),
            # A page of its own, so that it can hang beside the cautions; large print
            # is long enough as it is.
            *([] if large_print else [paper_blocks.PageBreak()]),
            paper_blocks.Heading(_("Who treads when")),
            paper_blocks.Para(_rules(plan)),
            *_days(plan, ahead, large_print=large_print),
            paper_blocks.Lines(3, label=_("Notes")),
        ],
        footer=paper_blocks.Footer(
            owner=where.name,
            version=_("Printed %s") % f"{printed:%d %B %Y, %H:%M}",
        ),
    )


def _rules(plan: RotaPlan) -> str:
    words = _(
        "%(people)d tread, and one watches from the bank and does nothing else. Wait "
        "on the bank for everybody. With fewer, don't go in. Tick who came, and sign. "
        "Nobody treads or watches who has not heard the briefing%(briefing)s. "
        "Anybody not named here asks the organiser first."
    )
    briefing = f" “{plan.briefing}”" if plan.briefing else ""
    return words % {"people": plan.people, "briefing": briefing}


def _days(
    plan: RotaPlan, ahead: Sequence[TurnLine], *, large_print: bool
) -> list[paper_blocks.Block]:
    if not ahead:
        return [paper_blocks.Para(_("No turn is to come."))]
    rows = [
        row
        for _day, lines in groupby(ahead, key=lambda line: line.turn.day)
        for row in _day_rows(plan, list(lines))
    ]
    columns = [_("Day"), _("Turn"), _("Who"), _("Came"), _("Signature")]
    return [
        paper_blocks.Ruled(
            columns, rows, widths=LARGE_WIDTHS if large_print else WIDTHS
        )
    ]


def _day_rows(plan: RotaPlan, lines: Sequence[TurnLine]) -> Iterator[list[str]]:
    """Yield a row for each person of a day; a place nobody has is a row to write in.

    Each row says its day and time: a page may end between two people of one turn.
    """
    day = f"{lines[0].turn.day:%a} {lines[0].turn.day.day} {lines[0].turn.day:%b}"
    zone = plan.ret.dam.demonstration.zone
    for line in lines:
        at = f"{line.turn.at.astimezone(zone):%H:%M}"
        names = [row.volunteer.name for row in line.treading]
        names += [""] * line.lack.treading
        watcher = line.watcher
        watching = (
            _("%s, watching") % watcher.volunteer.name
            if watcher
            else _("Watcher needed: ______")
        )
        for name in [*names, watching]:
            yield [day, at, name, "", ""]
