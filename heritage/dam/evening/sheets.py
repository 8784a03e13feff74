"""The filling evening on paper: the plan, when to stop, and a line for each load."""

from collections.abc import Iterator
from datetime import datetime

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.common import sheets as paper
from heritage.dam.evening.selectors import EveningPage
from heritage.dam.evening.words import hour
from heritage.dam.sheets import caution_blocks
from heritage.kits.paper import blocks as paper_blocks

SPARE_ROWS = 3
WIDTHS = (1, 2.4, 1.4, 2, 2, 2.2)
LARGE_WIDTHS = (1.1, 2.2, 1.7, 2, 2, 2)


def evening_sheet(
    page: EveningPage, *, printed_at: datetime, large_print: bool
) -> bytes:
    """Return the sheet of a filling evening as a PDF."""
    where = page.dam.demonstration
    printed = printed_at.astimezone(where.zone)
    starts = page.evening.starts_at.astimezone(where.zone)
    return paper.sheet(
        title=_("Filling evening: %s") % page.dam.name,
        subtitle=date_format(starts, "l j F Y, H:i"),
        large_print=large_print,
        blocks=[
            paper_blocks.Para(page.lead),
            *caution_blocks(),
            # The plan begins a page of its own, to hand round without the cautions.
            paper_blocks.PageBreak(),
            paper_blocks.Heading(_("The plan")),
            paper_blocks.Facts(list(_facts(page))),
            paper_blocks.Heading(_("In this order")),
            paper_blocks.Steps(list(page.steps)),
            paper_blocks.Heading(_("The loads")),
            paper_blocks.Para(_stop_words(page)),
            _table(page, large_print=large_print),
            paper_blocks.Lines(2, label=_("When the water closed over the last beet")),
        ],
        footer=paper_blocks.Footer(
            owner=where.name,
            version=_("Printed %s") % f"{printed:%d %B %Y, %H:%M}",
        ),
    )


def _facts(page: EveningPage) -> Iterator[tuple[str, str]]:
    yield _("Lots"), _lots(page)
    if page.mixed_words:
        yield _("Take care"), page.mixed_words
    yield _("Beets stand"), page.dam.demonstration.get_root_end_display()
    yield _("A load"), page.weight_words
    yield _("Trips"), page.pace_words
    yield _("Hands"), page.hands_words
    yield _("Water"), page.water_words
    yield _("Light"), page.light.words
    if page.dark:
        out = _("by %s, done or not") % hour(page.dark)
        yield _("Everybody out of the water"), out


def _lots(page: EveningPage) -> str:
    parts = [
        _("%(lot)s, %(beets)d beets") % {
            "lot": part.lot, "beets": part.came + part.beets_to_come
        }
        for part in page.parts
    ]  # fmt: skip
    how = _("mixed") if page.evening.mixed else _("kept apart")
    return f"{'; '.join(parts)} ({how})" if len(parts) > 1 else "; ".join(parts)


def _stop_words(page: EveningPage) -> str:
    clock = page.clock
    if clock.stop_sure is None or clock.stop_likely is None or page.leave_by is None:
        return _("Write the time at which each load is at the dam.")
    if page.is_too_late_for_more:
        return _(
            "Write the time at which each load is at the dam. No load is sure to be in "
            "time: take fewer beets, start sooner, or take a second evening."
        )
    words = _(
        "Write the time at which each load is at the dam. The last leaves the field by "
        "%(leave)s, to be at the dam by %(sure)s: then all is %(under)s by sunset "
        "even if the work goes slowly."
    )
    leave, sure = hour(page.leave_by), hour(clock.stop_sure)
    return words % {"leave": leave, "sure": sure, "under": page.under}


def _table(page: EveningPage, *, large_print: bool) -> paper_blocks.Ruled:
    zone = page.dam.demonstration.zone
    came = [
        [
            str(line.number),
            str(line.load.move.lot),
            str(line.load.move.beets),
            hour(line.load.move.at.astimezone(zone)),
            "",
            "",
        ]
        for line in page.loads
    ]
    ahead = [
        [str(number), lot, str(beets), "", "", ""]
        for number, (lot, beets) in enumerate(_loads_ahead(page), len(came) + 1)
    ]
    columns = [_("Load"), _("Lot"), _("Beets"), _("At the dam"), _("Placed"), _("By")]
    return paper_blocks.Ruled(
        columns,
        came + ahead,
        blank_rows=SPARE_ROWS,
        widths=LARGE_WIDTHS if large_print else WIDTHS,
    )


def _loads_ahead(page: EveningPage) -> Iterator[tuple[str, int]]:
    if page.evening.mixed:
        yield from (("", beets) for beets in page.to_come)
        return
    for part in page.parts:
        yield from ((str(part.lot), beets) for beets in part.to_come)
