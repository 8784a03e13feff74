"""The form for a lost or found child, to fill in by hand where no telephone works."""

from datetime import date
from itertools import chain

from django.utils.translation import gettext as _

from heritage.briefings.emergency.selectors import EmergencyPage
from heritage.briefings.sheets import graded_alone
from heritage.common import sheets as paper
from heritage.incidents.children.selectors import steps_for
from heritage.incidents.models import ChildMatter
from heritage.kits.paper import blocks as paper_blocks

LINE = "_" * 34


def child_sheet(page: EmergencyPage, *, printed_on: date, large_print: bool) -> bytes:
    """Return the blank form as a PDF: what to ask, what to do, how it ended."""
    lists = _lists()
    silence = _("Not by voice, and not by loudspeaker.")
    keep_none = _("Give this form to an organiser; keep no copy.")
    forbidden = _("Do not call out the name")
    return paper.sheet(
        title=_("Lost or found child"),
        subtitle=_("Form to fill in by hand"),
        large_print=large_print,
        blocks=graded_alone(
            [
                paper_blocks.Caution("prohibition", silence, word=forbidden),
                paper_blocks.Facts([(label, LINE) for label in _asked()]),
                *_from_the_plan(page),
                *(one for title in lists for one in _list(title, lists[title])),
                _ending(keep_none),
            ],
            fixed=[silence, *chain(*lists.values()), keep_none],
        ),
        footer=paper_blocks.Footer(
            owner=page.demonstration.name,
            version=_("Printed %s") % f"{printed_on:%d %b %Y}",
        ),
    )


def _lists() -> dict[str, tuple[str, ...]]:
    return {
        _("A child is missing"): steps_for(ChildMatter.LOST),
        _("A child has been found"): steps_for(ChildMatter.FOUND),
    }


def _from_the_plan(page: EmergencyPage) -> list[paper_blocks.Block]:
    words = {line.name: line.words for part in page.parts for line in part.lines}
    return [
        paper_blocks.Para(page.number or LINE, lead=_("To call for help:")),
        paper_blocks.Para(
            words["lost_child"] or LINE, lead=_("Children are taken to:")
        ),
    ]


def _asked() -> list[str]:
    return [
        _("Opened at"),
        _("Lost or found"),
        _("Looks, clothes"),
        _("Last seen, or found"),
        _("Age"),
        _("Who says so"),
        _("Needs"),
        _("Name"),
    ]


def _ending(keep_none: str) -> paper_blocks.Block:
    return paper_blocks.Together(
        [
            paper_blocks.Heading(_("How it ended")),
            paper_blocks.Lines(2),
            paper_blocks.Facts(
                [
                    (_("Who the child left with"), LINE),
                    (_("Who checked their identity"), LINE),
                ]
            ),
            paper_blocks.Signature(_("who kept this form")),
            paper_blocks.Para(keep_none),
        ]
    )


def _list(title: str, steps: tuple[str, ...]) -> list[paper_blocks.Block]:
    columns = [_("What to do"), _("At"), _("By")]
    rows = [[words, "", ""] for words in steps]
    return [
        paper_blocks.Heading(title),
        paper_blocks.Ruled(columns, rows=rows, widths=[7, 2, 3]),
    ]
