"""The stewards' sheet: posts, names, tasks, the signal and whom to call."""

from django.utils.translation import gettext as _

from heritage.briefings.emergency.selectors import EmergencyPage
from heritage.briefings.sheets import graded_alone
from heritage.common import sheets as paper
from heritage.grounds.models import StewardPost
from heritage.grounds.selectors import StewardPage, StewardSheet
from heritage.kits.paper import blocks as paper_blocks

LINE = "_" * 22


def steward_sheet(sheet: StewardSheet, *, large_print: bool) -> bytes:
    """Return the stewards' sheet as a PDF."""
    place = sheet.emergency.demonstration
    return paper.sheet(
        title=_("Stewards"),
        subtitle=place.place_name,
        large_print=large_print,
        blocks=graded_alone(
            [
                paper_blocks.Facts(_emergency(sheet.emergency)),
                _posts(sheet.page),
                # What holds at every post, in one piece.
                paper_blocks.Together(
                    [paper_blocks.Bullets(_rules()), paper_blocks.Para(_no_ratio())]
                ),
            ],
            fixed=[*_rules(), _no_ratio()],
        ),
        footer=paper_blocks.Footer(
            owner=place.name, version=_("Printed %s") % f"{sheet.day:%d %b %Y}"
        ),
    )


def _emergency(page: EmergencyPage) -> list[tuple[str, str]]:
    """Say whom to call and what the signal is, each a line to write on if unknown."""
    words = {line.name: line.words for part in page.parts for line in part.lines}
    return [
        (_("To call for help"), page.number or LINE),
        (_("Who decides"), words["controller"] or LINE),
        (_("Or else"), words["deputy"] or LINE),
        (_("Signal: all out"), words["signal"] or LINE),
        (_("Meeting point"), words["meeting_point"] or LINE),
    ]


def _posts(page: StewardPage) -> paper_blocks.Block:
    posts = [line.post for line in page.lines]
    rows = [[_named(post), str(post.volunteer or ""), post.task] for post in posts]
    return paper_blocks.Ruled(
        [_("Post"), _("Who"), _("What they do")],
        rows=rows,
        blank_rows=0 if rows else 8,
        widths=[5, 4, 6],
    )


def _named(post: StewardPost) -> str:
    duty = post.get_duty_display()
    return f"{duty[:1].upper()}{duty[1:]}: {post.place}"


def _rules() -> list[str]:
    return [
        _("Anybody may give the stop signal."),
        _("Do not leave your post until somebody relieves you."),
        _("A child is missing: tell the lead at once. Never call out the name."),
        _("You found a child: stay with them, and tell the lead."),
        _("Stewards are 18 or older and have heard the briefing."),
    ]


def _no_ratio() -> str:
    return _(
        "No law says how many stewards so many visitors need. Talk "
        "the posts over with the landowner, council and emergency services. Where "
        "local codes are stricter, they win."
    )
