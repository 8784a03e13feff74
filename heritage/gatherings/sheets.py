"""The evening's sign-in and tally sheet."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.briefings.sheets import stop_caution
from heritage.common import sheets as paper_sheet
from heritage.gatherings.ground.selectors import was, when
from heritage.gatherings.selectors import SheetStation, SignInSheet
from heritage.kits.paper import blocks as paper

WALK_INS = 8
# A name on a sheet needs little room; a box holds one stroke for each beet.
WIDTHS = (5, 1.6, 1.6, 3, 5)


def sign_in_sheet(sheet: SignInSheet, *, printed_on: date, large_print: bool) -> bytes:
    """Print an evening's sheet: names by station, times, signatures, tally boxes."""
    gathering, blocks = sheet.gathering, _head(sheet)
    for part in sheet.stations:
        blocks += _station(part)
    blocks += [
        paper.Heading(_("Others who came")),
        paper.Ruled(_columns(), blank_rows=WALK_INS, widths=WIDTHS),
        paper.Lines(3, _("What happened, and what to do before the next one")),
        paper.Signature(_("Lead")),
    ]
    return paper_sheet.sheet(
        title=gathering.title,
        subtitle=when(gathering, gathering.starts_at, gathering.ends_at),
        blocks=blocks,
        large_print=large_print,
        landscape=False,
        footer=paper.Footer(
            owner=gathering.demonstration.name,
            version=_("Sign-in sheet, printed %s") % date_format(printed_on, "j F Y"),
        ),
    )


def _head(sheet: SignInSheet) -> list[paper.Block]:
    gathering = sheet.gathering
    moved = was(gathering)
    facts = [
        (_("Meet at"), gathering.place),
        (_("Lead"), gathering.lead.name if gathering.lead else _("the organiser")),
        (_("The light"), sheet.light.words),
        *([(_("Moved"), moved)] if moved else []),
    ]
    return [
        paper.Facts(facts),
        *[paper.Caution("warning", words) for words in sheet.warnings],
        paper.Caution("mandatory", _stop_words(sheet)),
        stop_caution(),
        paper.Caution(
            "prohibition",
            _(
                "Do not work a station whose briefing you have not heard. Local rules "
                "and licensed people come before this sheet."
            ),
        ),
    ]


def _stop_words(sheet: SignInSheet) -> str:
    stop = sheet.light.stop
    words = (
        _("Stop at %(time)s: %(why)s. Count everybody out.")
        % {"time": f"{stop:%H:%M}", "why": sheet.light.why}
        if stop
        else _("Stop when you can no longer see well. Count everybody out.")
    )
    if sheet.has_machine_or_water and sheet.light.sunset:
        words += " " + _("Machines and work at the water stop by sunset, %s.") % (
            f"{sheet.light.sunset:%H:%M}"
        )
    return words


def _station(part: SheetStation) -> list[paper.Block]:
    words = f"{part.filling.words[:1].upper()}{part.filling.words[1:]}."
    blocks: list[paper.Block] = [
        paper.Heading(part.station.title),
        paper.Para(words, lead=_("Places:")),
    ]
    if part.briefing:
        blocks.append(paper.Para(part.briefing, lead=_("Briefing:")))
    rows = [[name, "", "", "", ""] for name in part.names]
    blanks = min(part.blank_rows, 4) if rows else min(part.blank_rows, 6)
    blocks.append(paper.Ruled(_columns(), rows=rows, blank_rows=blanks, widths=WIDTHS))
    return blocks


def _columns() -> list[str]:
    return [_("Name"), _("In"), _("Out"), _("Signature"), _("Beets, one stroke each")]
