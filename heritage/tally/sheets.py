"""The printed sheets of the tally."""

from datetime import date

from django.utils.translation import gettext as _

from heritage.kits import paper
from heritage.tally.selectors import PersonStatement


def statement_sheet(
    statement: PersonStatement, *, printed_on: date, large_print: bool
) -> bytes:
    """Return one person's statement as a PDF."""
    demonstration = statement.demonstration
    zone = demonstration.zone
    rows = [
        [
            f"{line.starts_at.astimezone(zone):%d %b %Y}",
            line.title,
            str(line.beets),
            str(line.hours),
        ]
        for line in statement.lines
    ]
    return paper.sheet(
        title=_("Statement for %s") % statement.volunteer.name,
        subtitle=demonstration.name,
        language="en-GB",
        large_print=large_print,
        blocks=[
            paper.Facts(_totals(statement)),
            paper.Heading(_("Evening by evening")),
            paper.Table(
                [_("Day"), _("Gathering"), _("Beets"), _("Hours")],
                rows,
                widths=[3, 6, 2, 2],
                align="llrr",
            ),
            paper.Para(
                _(
                    "Token pay is a custom of the field, reckoned as it used to be. It "
                    "is not a wage, and new money is shown only to tell what it was."
                )
            ),
        ],
        footer=paper.Footer(
            owner=demonstration.name,
            version=_("Printed %s") % f"{printed_on:%d %B %Y}",
        ),
    )


def _totals(statement: PersonStatement) -> list[tuple[str, str]]:
    settled = statement.settled
    return [
        (_("Beets"), str(statement.beets)),
        (
            _("Stooks"),
            _("%(stooks)d of %(each)d beets, and %(over)d beets over")
            % {
                "stooks": settled.stooks,
                "each": statement.demonstration.beets_per_stook,
                "over": settled.beets_over,
            },
        ),
        (_("Hours"), str(statement.hours)),
        (_("Token pay"), f"{statement.pay.old}  ({statement.pay.new})"),
    ]
