"""The words of a briefing as they would be published, and what stands in the way."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.calc import young_people
from heritage.calc.risk import Severity, needs_named_person
from heritage.safety.models import Briefing, BriefingVersion, Hazard
from heritage.safety.selectors.parts import filled_parts, planned_parts
from heritage.season.models import Demonstration


def words_of(briefing: Briefing) -> dict[str, Any]:
    """Compose what a version of the briefing would say today."""
    hazards = briefing.hazards.worst_first().with_controls()
    return _composed(briefing, list(hazards), planned_parts(briefing.demonstration))


def has_changed(briefing: Briefing, current: BriefingVersion | None) -> bool:
    """Tell whether publishing now would say anything new."""
    return current is None or _said(current.content) != _said(words_of(briefing))


def changed_briefings(demonstration: Demonstration) -> frozenset[int]:
    """Return the keys of the published briefings that would say something new today.

    A hazard or the emergency plan may have been changed since; six queries, however
    many briefings there are.
    """
    versions = BriefingVersion.objects.of(demonstration).current()
    current = {version.briefing_id: version.content for version in versions}
    planned = planned_parts(demonstration)
    rows = Briefing.objects.of(demonstration).select_related("demonstration")
    return frozenset(
        one.pk
        for one in rows.with_hazards()
        if one.pk in current
        and _said(current[one.pk])
        != _said(_composed(one, list(one.hazards.all()), planned))
    )


def _composed(
    briefing: Briefing, hazards: Sequence[Hazard], planned: Mapping[str, str]
) -> dict[str, Any]:
    place = briefing.demonstration.jurisdiction
    return {
        **filled_parts(briefing, planned),
        "hazards": [_hazard(hazard) for hazard in hazards],
        "cautions": [_caution(hazard) for hazard in hazards if hazard.caution],
        "stop_rules": stop_rules(),
        "jurisdiction": briefing.demonstration.get_jurisdiction_display(),
        "young_people": [rule.reason for rule in young_people.rules(place)],
    }


def _said(content: dict[str, Any]) -> dict[str, Any]:
    """Leave out what is not filled in: a part that came later changes nothing."""
    return {name: value for name, value in content.items() if value}


def reasons_not_to_publish(briefing: Briefing, day: date) -> list[str]:
    """Say in plain words why a briefing may not be published today, if it may not."""
    reasons = []
    hazards = list(briefing.hazards.worst_first().with_controls())
    if not briefing.in_charge.strip():
        reasons.append(_("Nobody is in charge: write the name of the person who is."))
    if not hazards:
        reasons.append(_("It names no hazards: choose what can hurt somebody here."))
    for hazard in hazards:
        reasons += _reasons_of(hazard, day)
    return reasons


def _reasons_of(hazard: Hazard, day: date) -> list[str]:
    reasons = []
    if lacks_named_person(hazard.severity, hazard.controller):
        reasons.append(
            _("“%s” can kill and has no person named to control it.") % hazard
        )
    if not hazard.controls.all():
        reasons.append(_("“%s” has no controls: say what is done.") % hazard)
    if hazard.review_on and is_overdue(hazard, day):
        reasons.append(
            _("“%(hazard)s” was to be looked at again by %(day)s: do that first.")
            % {"hazard": hazard, "day": date_format(hazard.review_on, "j F Y")}
        )
    return reasons


def is_overdue(hazard: Hazard, day: date) -> bool:
    """Tell whether the day on which to look at a hazard again is past."""
    return hazard.review_on is not None and hazard.review_on < day


def lacks_named_person(severity: int, controller: str) -> bool:
    """Tell whether a hazard could kill and nobody is named who sees to it."""
    return needs_named_person(Severity(severity)) and not controller.strip()


def _hazard(hazard: Hazard) -> dict[str, Any]:
    return {
        "title": hazard.title,
        "harm": hazard.harm,
        "where": hazard.where,
        "severity": hazard.severity,
        "likelihood": hazard.likelihood,
        "severity_after": hazard.severity_after,
        "likelihood_after": hazard.likelihood_after,
        "controller": hazard.controller,
        "controls": [control.text for control in hazard.controls.all()],
    }


def _caution(hazard: Hazard) -> dict[str, str]:
    return {"mark": hazard.mark, "heading": hazard.title, "text": hazard.caution}


def stop_rules() -> list[str]:
    """Return when the work stops, in the words of every outdoor sheet."""
    return [
        _("Anybody may call stop. Everybody stops at once."),
        _("If thunder follows lightning within 30 seconds, stop and take cover."),
        _("Start again 30 minutes after the last thunder."),
        _("Machine work and dam work end by sunset."),
        _("At “everybody out”, go to the meeting point and stay there to be counted."),
    ]
