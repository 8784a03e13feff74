"""A machine's rules on paper, with a table for the daily check."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.kits import paper
from heritage.safety.selectors.machines import JAM_RULE, MachinePage
from heritage.safety.sheets.graded import graded
from heritage.safety.sheets.stopping import stop_blocks

DAYS, LARGE_DAYS = 6, 4


def machine_sheet(page: MachinePage, *, printed_on: date, large_print: bool) -> bytes:
    """Print a machine's rules and guards, to be hung where it works."""
    machine = page.machine
    return paper.sheet(
        title=machine.name,
        subtitle=_("Machine sheet: %s") % machine.get_kind_display(),
        language="en-GB",
        large_print=large_print,
        blocks=graded(
            [
                paper.Caution(
                    "prohibition",
                    _("A missing guard means it does not run in public today."),
                ),
                paper.Caution("prohibition", page.age.reason, word=_("Young people")),
                paper.Facts(_facts(page)),
                paper.Together([paper.Heading(_("A jam")), paper.Steps(_jam())]),
                *_fuel(page),
                *stop_blocks(),
                *_check(page, LARGE_DAYS if large_print else DAYS),
            ]
        ),
        footer=paper.Footer(
            owner=machine.demonstration.name,
            version=_("Machine sheet, printed %s") % date_format(printed_on, "j F Y"),
        ),
    )


def _jam() -> list[str]:
    return [str(step) for step in JAM_RULE]


def _facts(page: MachinePage) -> list[tuple[str, str]]:
    machine = page.machine
    able = machine.worked_by
    pairs = [
        (_("Stopped"), machine.stop),
        (_("Who may work it"), _("only who has “%s” confirmed") % able if able else ""),
        (_("Barrier"), machine.barrier),
        (_("Fuel"), machine.fuel),
        (_("Note"), machine.note),
        (_("Whose age rule"), page.age.source),
        (
            _("Place set"),
            _("%s. Check that it is the right one.")
            % machine.demonstration.get_jurisdiction_display(),
        ),
    ]
    return [(label, value) for label, value in pairs if value]


def _fuel(page: MachinePage) -> list[paper.Block]:
    return [
        paper.Caution(
            "prohibition",
            _("Do not smoke here. Do not fill a hot or running engine."),
            word=_("Fuel"),
        ),
        paper.Para(page.fuel.reason, lead=_("Petrol:")),
    ]


def _check(page: MachinePage, days: int) -> list[paper.Block]:
    rows = [[name, *[""] * days] for name in page.today.guards]
    rows += [
        [words, *[""] * days] for words in (_("May run in public"), _("Checked by"))
    ]
    how = _(
        "Write the day at the head of a column. Look at each guard and touch it. Tick "
        "it, or write “missing”. With one missing it does not run."
    )
    table = paper.Ruled(
        [_("Guard"), *[_("Day")] * days], rows=rows, widths=[5, *[1.4] * days]
    )
    return [
        paper.Together([paper.Heading(_("Daily check")), paper.Para(how), table]),
        paper.Para(
            _(
                "This sheet supports your judgement. It does not replace a competent "
                "person, the maker's book or the law where you are. Local codes and "
                "licensed practice come first."
            )
        ),
    ]
