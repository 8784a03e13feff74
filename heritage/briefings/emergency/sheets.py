"""The emergency sheet: hung at the gate, kept in the first-aid box."""

from collections.abc import Iterator
from datetime import date

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.emergency.selectors import EmergencyPage, PlanLine, PlanPart
from heritage.briefings.sheets import graded_alone
from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks
from heritage.kits.paper import seal as paper_seal
from heritage.kits.signs import Kind

LINE = "_" * 34
# What is forbidden or bidden stands beside a mark that everybody knows.
MARKS: dict[str, Kind] = {
    "water_rescue": "prohibition",
    "machine_stop": "mandatory",
    "lost_child": "prohibition",
}
SHORT = {
    "deputy": gettext_lazy("Or else"),
    "calls": gettext_lazy("Who calls"),
    "way_in": gettext_lazy("Way in"),
    "hospital": gettext_lazy("Hospital"),
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
        large_print=large_print,
        # It is pinned to the gate: one page, however small clear print lets it be.
        one_page=not large_print,
        blocks=graded_alone(
            [
                paper_blocks.Big(_("Call %s") % (page.number or LINE)),
                *(block for part in page.parts for block in _part(page, part)),
                paper_blocks.Para(_judgement()),
            ],
            fixed=[
                *(line.always for part in page.parts for line in part.lines),
                _judgement(),
            ],
        ),
        footer=paper_blocks.Footer(
            owner=place.name, version=_version(page, printed_on)
        ),
    )


def runs_over(page: EmergencyPage, printed_on: date) -> bool:
    """Tell whether the plan is too long for one page, even in the smallest type."""
    pdf = emergency_sheet(page, printed_on=printed_on, large_print=False)
    return paper_seal.page_count(pdf) > 1


def _judgement() -> str:
    return _(
        "This sheet supports your judgement. Local codes and emergency services win."
    )


def _part(page: EmergencyPage, part: PlanPart) -> Iterator[paper_blocks.Block]:
    rows = [line for line in part.lines if line.name not in MARKS]
    pairs = [(_label(line), _words(line)) for line in rows]
    names = {line.name for line in rows}
    if "grid_reference" in names:
        pairs.insert(1, (_("Position"), page.where))
    if "aed" in names:
        pairs.append((_("First aid"), _points(page)))
    # The first stands right under the number, so that all facts fit one page.
    heading = [] if "controller" in names else [paper_blocks.Heading(part.title)]
    marked = [
        paper_blocks.Caution(MARKS[line.name], _words(line), word=_label(line))
        for line in part.lines
        if line.name in MARKS
    ]
    yield paper_blocks.Together([*heading, paper_blocks.Facts(pairs), *marked])


def _words(line: PlanLine) -> str:
    """Say what holds anywhere, then what the organiser says of this place."""
    taken = _("Taken to:") if line.name == "lost_child" else ""
    return " ".join(filter(None, [line.always, taken, line.words or LINE]))


def _points(page: EmergencyPage) -> str:
    points = [
        f"{one.place} ({one.holds})" if one.holds else one.place for one in page.points
    ]
    return "; ".join(points) or LINE


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
