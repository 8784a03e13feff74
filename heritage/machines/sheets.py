"""A machine's rules on paper, with a table for the daily check."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.briefings.sheets import graded, stop_blocks
from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks
from heritage.machines.selectors import JAM_RULE, MachinePage

DAYS, LARGE_DAYS = 6, 4


def machine_sheet(page: MachinePage, *, printed_on: date, large_print: bool) -> bytes:
    """Print a machine's rules and guards, to be hung where it works."""
    machine = page.machine
    return paper.sheet(
        title=machine.name,
        subtitle=_("Machine sheet: %s") % machine.get_kind_display(),
        large_print=large_print,
        blocks=graded(
            [
                *_cautions(page),
                paper_blocks.Facts(_facts(page)),
                _jam(),
                *_fuel(page),
                *stop_blocks(),
                *_check(page, LARGE_DAYS if large_print else DAYS),
            ]
        ),
        footer=paper_blocks.Footer(
            owner=machine.demonstration.name,
            version=_("Machine sheet, printed %s") % date_format(printed_on, "j F Y"),
        ),
    )


def _cautions(page: MachinePage) -> list[paper_blocks.Block]:
    guards = _("A missing guard means it does not run in public today.")
    return [
        paper_blocks.Caution("prohibition", guards),
        paper_blocks.Caution("prohibition", page.age.reason, word=_("Young people")),
    ]


def _jam() -> paper_blocks.Block:
    steps = paper_blocks.Steps([str(step) for step in JAM_RULE])
    return paper_blocks.Together([paper_blocks.Heading(_("A jam")), steps])


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


def _fuel(page: MachinePage) -> list[paper_blocks.Block]:
    return [
        paper_blocks.Caution(
            "prohibition",
            _("Do not smoke here. Do not fill a hot or running engine."),
            word=_("Fuel"),
        ),
        paper_blocks.Para(page.fuel, lead=_("Petrol:")),
    ]


def _check(page: MachinePage, days: int) -> list[paper_blocks.Block]:
    rows = [[name, *[""] * days] for name in page.today.guards]
    rows += [
        [words, *[""] * days] for words in (_("May run in public"), _("Checked by"))
    ]
    how = _(
        "Write the day at the head of a column. Look at each guard and touch it. Tick "
        "it, or write “missing”. With one missing it does not run."
    )
    table = paper_blocks.Ruled(
        [_("Guard"), *[_("Day")] * days], rows=rows, widths=[5, *[1.4] * days]
    )
    return [
        paper_blocks.Together(
            [paper_blocks.Heading(_("Daily check")), paper_blocks.Para(how), table]
        ),
        paper_blocks.Para(
            _(
                "This sheet supports your judgement. It does not replace a competent "
                "person, the maker's book or the law where you are. Local codes, "
                "and people licensed for the work, come first."
            )
        ),
    ]
