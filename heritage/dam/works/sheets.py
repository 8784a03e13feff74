"""The dam's book on paper: before the ret, the ret, and after it."""

from collections.abc import Iterable
from datetime import datetime

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.common import sheets as paper
from heritage.dam.models import DamWork, Ret
from heritage.dam.sheets import caution_blocks
from heritage.dam.works.selectors import AskedLine, Works
from heritage.kits.paper import blocks as paper_blocks

DAY = "j M Y"
# The rets of a season and the one before, so that the book stays short.
RETS_PRINTED = 6
Line = list[paper_blocks.Block]


def book_sheet(page: Works, *, printed_at: datetime, large_print: bool) -> bytes:
    """Return a dam's book as a PDF: what was entered, and lines for more."""
    where = page.dam.demonstration
    printed = printed_at.astimezone(where.zone)
    return paper.sheet(
        title=_("The book of %s") % page.dam.name,
        subtitle=page.lead,
        large_print=large_print,
        blocks=[
            *caution_blocks(),
            # Large print is long enough as it is.
            *([] if large_print else [paper_blocks.PageBreak()]),
            paper_blocks.Heading(_("Before the ret")),
            *_before(page),
            paper_blocks.Heading(_("The rets")),
            *_rets(page),
            paper_blocks.Heading(_("After the ret")),
            *_after(page),
        ],
        footer=paper_blocks.Footer(
            owner=where.name,
            version=_("Printed %s") % f"{printed:%d %B %Y, %H:%M}",
        ),
    )


def _before(page: Works) -> Line:
    flows = [f"{date_format(one.test.day, DAY)}: {one.words}" for one in page.flows]
    leaks = [
        f"{date_format(_there(page, one.test.second_at), DAY)}: {one.words}"
        for one in page.leaks
    ]
    return [
        *_part(_("Permission to take water"), _asked(page.to_take)),
        *_part(_("Work on the dam"), _works(page.before)),
        *_part(_("Leak test"), leaks),
        *_part(_("Water coming in"), flows),
        *([paper_blocks.Para(page.supply.words)] if page.supply.words else []),
    ]


def _rets(page: Works) -> Line:
    rows = [_ret(page, ret) for ret in page.rets[:RETS_PRINTED]]
    columns = [_("Under water"), _("Beets"), _("Lifted"), _("Clean water")]
    return [paper_blocks.Ruled(columns, rows, blank_rows=1, widths=(3, 1, 3, 3))]


def _ret(page: Works, ret: Ret) -> list[str]:
    moments = (ret.began_at, ret.lifted_at, ret.clean_at)
    began, lifted, clean = (
        date_format(_there(page, one), f"{DAY}, H:i") if one else "" for one in moments
    )
    return [began, str(ret.beets), lifted, clean]


def _after(page: Works) -> Line:
    ask = _(
        "Ask the people who look after your rivers before anything is done with the "
        "water, and do only what the answer allows. This sheet isn't permission."
    )
    return [
        paper_blocks.Para(ask),
        *_part(_("Who was asked about the water"), _asked(page.after)),
        *_part(_("How the water looked"), _works(page.looked)),
        *_part(_("Where it went"), page.went),
    ]


def _part(title: str, lines: Iterable[str]) -> Line:
    """Return what is written under a heading, and lines for more."""
    written = list(lines)
    return [
        paper_blocks.Heading(title, 2),
        *([paper_blocks.Bullets(written)] if written else []),
        paper_blocks.Lines(1 if written else 2, label=_("Day, and what")),
    ]


def _asked(rows: Iterable[AskedLine]) -> list[str]:
    return [f"{date_format(one.row.asked_on, DAY)}: {one.words}" for one in rows]


def _works(rows: Iterable[DamWork]) -> list[str]:
    return [
        f"{date_format(one.day, DAY)}, {one.get_kind_display()}: {one.note}"
        for one in rows
    ]


def _there(page: Works, moment: datetime) -> datetime:
    return moment.astimezone(page.dam.demonstration.zone)
