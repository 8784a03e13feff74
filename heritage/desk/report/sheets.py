"""The season's report on paper."""

from collections.abc import Iterator
from datetime import date
from typing import Final

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _

from heritage.common import sheets as paper
from heritage.desk.report.selectors import Report
from heritage.kits.paper import blocks as paper_blocks
from heritage.pictures.printed.sheets import with_credits

PICTURES: Final = 4


def report_sheet(page: Report, *, printed_on: date, large_print: bool) -> bytes:
    """Print the season's report: the figures with their sources, then their rows."""
    home = page.demonstration
    day = date_format(printed_on, "j F Y")
    return paper.sheet(
        title=_("The season's report"),
        subtitle=f"{home.crop}, {home.year}, {home.place_name}".rstrip(", "),
        blocks=[
            paper_blocks.Para(page.lead),
            _figures(page),
            *_pictures(page),
            *_stages(page),
            *_evenings(page),
        ],
        large_print=large_print,
        footer=paper_blocks.Footer(home.name, _("Printed %s") % day),
    )


def _figures(page: Report) -> paper_blocks.Block:
    return paper_blocks.Table(
        [_("What"), _("How much"), _("Added up from")],
        rows=[[one.what, one.value, one.source] for one in page.figures],
        widths=[4, 3, 6],
    )


def _pictures(page: Report) -> Iterator[paper_blocks.Block]:
    """Show the first pictures, of as many stages as there are."""
    first = {one.stage: one for one in reversed(list(page.pictures))}
    shown = with_credits(
        [first[stage.stage] for stage in page.stages if stage.stage in first]
    )
    if shown:
        yield paper_blocks.Heading(_("What it looked like"))
        yield paper_blocks.Photos(shown[:PICTURES])


def _stages(page: Report) -> Iterator[paper_blocks.Block]:
    if page.stages:
        yield paper_blocks.Heading(_("From seed to fibre"))
        yield paper_blocks.Facts(
            [(line.stage.label.capitalize(), line.done_words) for line in page.stages]
        )


def _evenings(page: Report) -> Iterator[paper_blocks.Block]:
    if page.evenings:
        yield paper_blocks.Heading(_("Evening by evening"))
        yield paper_blocks.Table(
            [_("Day"), _("Gathering"), _("People"), _("Hours"), _("Beets")],
            rows=[
                [
                    date_format(row.day, "j M"),
                    row.title,
                    str(row.people),
                    number_format(row.hours, 1),
                    number_format(row.beets, force_grouping=True),
                ]
                for row in page.evenings
            ],
            widths=[2, 6, 2, 2, 2],
            align="llrrr",
            total=[
                _("Together"),
                "",
                "",
                number_format(page.hours, 1, force_grouping=True),
                number_format(page.beets, force_grouping=True),
            ],
        )
