"""The emergency sheet: hung at the gate, kept in the first-aid box."""

from collections.abc import Iterator
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.kits import paper
from heritage.safety.selectors import EmergencyPage, PlanLine, PlanPart
from heritage.safety.sheets.graded import graded

LINE = "_" * 34
SHORT = {
    "deputy": gettext_lazy("Or else"),
    "calls": gettext_lazy("Who calls"),
    "way_in": gettext_lazy("Way in"),
    "aed": gettext_lazy("AED"),
    "signal": gettext_lazy("Signal"),
    "shelter": gettext_lazy("Lightning"),
    "no_signal": gettext_lazy("No signal here"),
    "fire": gettext_lazy("Fire"),
    "water_rescue": gettext_lazy("Water"),
    "machine_stop": gettext_lazy("Machine"),
    "lost_child": gettext_lazy("Lost child"),
    "light_failure": gettext_lazy("Dark"),
}


def emergency_sheet(
    page: EmergencyPage, *, printed_on: date, large_print: bool
) -> bytes:
    """Return the emergency plan as a PDF; what it lacks is a line to write on."""
    place = page.demonstration
    return paper.sheet(
        title=_("In an emergency"),
        subtitle=place.place_name,
        language="en-GB",
        large_print=large_print,
        blocks=graded(
            [
                paper.Big(_("Call %s") % (page.number or LINE)),
                *(block for part in page.parts for block in _part(page, part)),
                _standing(),
            ]
        ),
        footer=paper.Footer(owner=place.name, version=_version(page, printed_on)),
    )


def _part(page: EmergencyPage, part: PlanPart) -> Iterator[paper.Block]:
    pairs = [(_label(line), line.words or LINE) for line in part.lines]
    names = {line.name for line in part.lines}
    if "grid_reference" in names:
        pairs.insert(1, (_("Latitude, longitude"), page.where))
    if "aed" in names:
        pairs.append((_("First aid"), _points(page)))
    # The first stands right under the number, so that all facts fit one page.
    heading = [] if "controller" in names else [paper.Heading(part.title)]
    yield paper.Together([*heading, paper.Facts(pairs)])


def _points(page: EmergencyPage) -> str:
    said = [
        f"{one.place} ({one.holds})" if one.holds else one.place for one in page.points
    ]
    return "; ".join(said) or LINE


def _standing() -> paper.Block:
    """Say what holds anywhere, beside marks that everybody knows."""
    return paper.Together(
        [
            paper.Caution(
                "prohibition",
                _("Do not jump in after somebody. Call, talk, reach or throw."),
                word=_("Water"),
            ),
            paper.Caution(
                "mandatory",
                _(
                    "Stop the engine, take the key, wait until all is still. Then "
                    "touch."
                ),
                word=_("Machine"),
            ),
            paper.Caution(
                "mandatory",
                _("Never call out the name of a lost child."),
                word=_("Lost child"),
            ),
            paper.Para(
                _(
                    "This sheet supports your judgement. Local codes and what the "
                    "emergency services tell you come before it."
                )
            ),
        ]
    )


def _version(page: EmergencyPage, printed_on: date) -> str:
    if page.plan is None:
        return _("Printed %s") % f"{printed_on:%d %b %Y}"
    changed = page.plan.revised_at.astimezone(page.demonstration.zone)
    return _("Last changed %(changed)s, printed %(day)s") % {
        "changed": f"{changed:%d %b %Y}",
        "day": f"{printed_on:%d %b %Y}",
    }


def _label(line: PlanLine) -> str:
    """Name a line in few words: the sheet's left column is narrow."""
    return str(SHORT.get(line.name, line.label[:1].upper() + line.label[1:]))
