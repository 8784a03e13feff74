"""Statements and thank-you sheets: for one person, or for everybody in one go."""

from collections.abc import Iterable, Sequence
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.common import sheets as paper_sheet
from heritage.common.steps import drawing
from heritage.kits.paper import blocks as paper
from heritage.kits.paper.leaf import Tell, to_nobody
from heritage.season.models import Demonstration
from heritage.tally.statements.selectors import PersonStatement

# So wide a drawing leaves room for all of a thank-you on one page, in large print too.
BEET_MM = 34


def statement_sheet(
    statements: Sequence[PersonStatement],
    demonstration: Demonstration,
    *,
    printed_on: date,
    large_print: bool,
    tell: Tell = to_nobody,
) -> bytes:
    """Return statements as a PDF, each person's on a page of their own."""
    one = statements[0].volunteer.name if len(statements) == 1 else ""
    return _sheet(
        _("Statement for %s") % one if one else _("Statements"),
        [_statement(row, named=not one) for row in statements],
        demonstration,
        printed_on,
        large_print,
        tell,
    )


def thanks_sheet(
    statements: Sequence[PersonStatement],
    demonstration: Demonstration,
    *,
    printed_on: date,
    large_print: bool,
    tell: Tell = to_nobody,
) -> bytes:
    """Return thank-you sheets as a PDF, each person's on a page of their own."""
    one = statements[0].volunteer.name if len(statements) == 1 else ""
    return _sheet(
        _("Thank you, %s") % one if one else _("Thank you"),
        [_thanks(row, named=not one) for row in statements],
        demonstration,
        printed_on,
        large_print,
        tell,
    )


def _sheet(
    title: str,
    people: Sequence[list[paper.Block]],
    demonstration: Demonstration,
    printed_on: date,
    large_print: bool,
    tell: Tell,
) -> bytes:
    nothing = paper.Para(_("Nothing is in the book yet."))
    return paper_sheet.sheet(
        title=title,
        subtitle=demonstration.name,
        large_print=large_print,
        blocks=[paper.OnePage(person) for person in people] or [nothing],
        footer=paper.Footer(
            owner=demonstration.name,
            version=_("Printed %s") % f"{printed_on:%d %B %Y}",
        ),
        tell=tell,
    )


def _statement(statement: PersonStatement, *, named: bool) -> list[paper.Block]:
    return [
        *_name(statement, named),
        paper.Facts(_totals(statement)),
        *_evenings(statement, 2 if named else 1),
        paper.Para(
            _(
                "Token pay is a custom of the field, worked out as it used to be. It "
                "is not a wage, and new money is shown only to tell what it was."
            )
        ),
    ]


def _evenings(statement: PersonStatement, level: int) -> list[paper.Block]:
    zone = statement.demonstration.zone
    rows = [
        [
            f"{line.starts_at.astimezone(zone):%d %b %Y}",
            line.title,
            str(line.beets),
            str(line.hours),
        ]
        for line in statement.lines
    ]
    if not rows:
        return [paper.Para(_("No evenings in the book yet."))]
    columns = [_("Day"), _("Gathering"), _("Beets"), _("Hours")]
    return [
        paper.Heading(_("Evening by evening"), level),
        paper.Table(columns, rows, widths=[3, 6, 2, 2], align="llrr"),
    ]


def _thanks(statement: PersonStatement, *, named: bool) -> list[paper.Block]:
    first, *others = _thanks_lines(statement)
    return [
        *_name(statement, named),
        paper.Big(first),
        *([paper.Para(" ".join(others))] if others else []),
        paper.Para(
            _(
                "Flax is pulled by many hands in a few dry evenings, or it is not "
                "pulled at all. Yours were among them, and the book says so."
            )
        ),
        paper.Together(
            [
                paper.Sketch(
                    drawing("beet"),
                    _("A beet of flax, tied round the middle with a band of rushes."),
                    caption=_("A beet: a sheaf tied with a band of rushes"),
                    width_mm=BEET_MM,
                ),
                paper.Signature(_("For %s") % statement.demonstration.name),
            ]
        ),
    ]


def _thanks_lines(statement: PersonStatement) -> list[str]:
    """Return what somebody did: what they pulled first, if they pulled anything."""
    came = ngettext(
        "You came to %(days)d gathering and gave %(hours)s hours.",
        "You came to %(days)d gatherings and gave %(hours)s hours.",
        len(statement.lines),
    ) % {"days": len(statement.lines), "hours": statement.hours}
    pulled = [_pulled(statement)] if statement.beets else []
    work = [f"{words}: {amount}." for words, amount in statement.work]
    return [*pulled, came, *work]


def _pulled(statement: PersonStatement) -> str:
    settled = statement.settled
    stooks = ngettext("%(n)d stook", "%(n)d stooks", settled.stooks)
    return _("You pulled %(beets)s: %(stooks)s and %(over)d over.") % {
        "beets": _beets(statement.beets),
        "stooks": stooks % {"n": settled.stooks},
        "over": settled.beets_over,
    }


def _name(statement: PersonStatement, named: bool) -> Iterable[paper.Block]:
    return [paper.Heading(statement.volunteer.name)] if named else []


def _totals(statement: PersonStatement) -> list[tuple[str, str]]:
    settled = statement.settled
    return [
        (_("Beets"), str(statement.beets)),
        (
            _("Stooks"),
            _("%(stooks)d (%(each)d beets in each) and %(over)s over")
            % {
                "stooks": settled.stooks,
                "each": statement.demonstration.beets_per_stook,
                "over": _beets(settled.beets_over),
            },
        ),
        (_("Hours"), str(statement.hours)),
        (_("Token pay"), f"{statement.pay.old}  ({statement.pay.new})"),
        *[(words, str(amount)) for words, amount in statement.work],
        *_apart(statement),
    ]


def _beets(number: int) -> str:
    return ngettext("%(n)d beet", "%(n)d beets", number) % {"n": number}


def _apart(statement: PersonStatement) -> list[tuple[str, str]]:
    if not statement.unconfirmed:
        return []
    words = _("%s, not counted or paid above") % _beets(statement.unconfirmed)
    return [(_("Still to be confirmed"), words)]
