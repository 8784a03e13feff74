"""The evening's sign-in and tally sheet."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.briefings.sheets import stop_caution
from heritage.common import sheets as paper_sheet
from heritage.gatherings.ground.selectors import was, when
from heritage.gatherings.selectors import SheetStation, SignInSheet
from heritage.kits.paper import blocks as paper

# Rows at least for people who were not on the list; more fill the page.
WALK_INS = 4
# A name on a sheet needs little room; a box holds one stroke for each beet.
WIDTHS = (4.4, 3, 1.5, 1.5, 2.6, 3.6)


def sign_in_sheet(sheet: SignInSheet, *, printed_on: date, large_print: bool) -> bytes:
    """Print an evening's two sheets: the names with room to write, and the rest."""
    gathering = sheet.gathering
    return paper_sheet.sheet(
        title=gathering.title,
        subtitle=when(gathering, gathering.starts_at, gathering.ends_at),
        blocks=[paper.OnePage(_names(sheet)), paper.OnePage(_rest(sheet))],
        large_print=large_print,
        landscape=False,
        footer=paper.Footer(
            owner=gathering.demonstration.name,
            version=_("Sign-in sheet, printed %s") % date_format(printed_on, "j F Y"),
        ),
    )


def _names(sheet: SignInSheet) -> list[paper.Block]:
    hear = _("Hear the briefing before you work at a station. Cautions: sheet 2.")
    strokes = _("Beets, one stroke each")
    rows = [
        [name, part.station.title, "", "", "", ""]
        for part in sheet.stations
        for name in part.names
    ]
    return [
        paper.Para(sheet.light.words, lead=_("The light:")),
        paper.Caution("mandatory", hear),
        paper.Ruled(
            [_("Name"), _("Station"), _("In"), _("Out"), _("Signature"), strokes],
            rows=rows,
            blank_rows=WALK_INS,
            fill=True,
            widths=WIDTHS,
        ),
    ]


def _rest(sheet: SignInSheet) -> list[paper.Block]:
    gathering, moved = sheet.gathering, was(sheet.gathering)
    facts = [
        (_("Meet at"), gathering.place),
        (_("Lead"), gathering.lead.name if gathering.lead else _("the organiser")),
        *([(_("Moved"), moved)] if moved else []),
        *map(_station, sheet.stations),
    ]
    return [
        paper.Facts(facts),
        *[paper.Caution("warning", words) for words in sheet.warnings],
        paper.Caution("mandatory", _stop_words(sheet)),
        stop_caution(),
        paper.Caution(
            "prohibition",
            _(
                "Do not work a station whose briefing you have not heard. Local codes, "
                "and people licensed for the work, come before this sheet."
            ),
        ),
        paper.Lines(3, _("What happened, and what to do before the next one")),
        paper.Signature(_("Lead")),
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


def _station(part: SheetStation) -> tuple[str, str]:
    """Say how full a station is, and which briefing comes before it."""
    words = f"{part.filling.words[:1].upper()}{part.filling.words[1:]}."
    first = [_("Briefing first: %s.") % part.briefing] if part.briefing else []
    return part.station.title, " ".join([words, *first])
