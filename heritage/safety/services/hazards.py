"""Write down what can hurt somebody here, and what is done about it."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.safety.models import Control, Hazard, Mark
from heritage.safety.selectors import lacks_named_person
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Assessment:
    """What an organiser says about a hazard; controls are (kind, instruction)."""

    title: str
    harm: str
    severity: int
    likelihood: int
    severity_after: int
    likelihood_after: int
    where: str = ""
    severity_reason: str = ""
    controller: str = ""
    caution: str = ""
    mark: str = Mark.WARNING
    controls: Sequence[tuple[str, str]] = ()


@transaction.atomic
def add_hazard(*, demonstration: Demonstration, assessment: Assessment) -> Hazard:
    """Write down a hazard with its controls."""
    _require_named_person(assessment)
    return keep_hazard(Hazard(demonstration=demonstration), assessment)


@transaction.atomic
def edit_hazard(*, hazard: Hazard, assessment: Assessment) -> Hazard:
    """Correct a hazard; published briefings keep their words until republished."""
    Hazard.objects.select_for_update().get(pk=hazard.pk)
    _require_named_person(assessment)
    return keep_hazard(hazard, assessment)


@transaction.atomic
def delete_hazard(*, hazard: Hazard) -> None:
    """Take away a hazard that no briefing names."""
    Hazard.objects.select_for_update().get(pk=hazard.pk)
    named_in = [briefing.title for briefing in hazard.briefings.by_title()]
    if named_in:
        raise ValidationError(
            _("“%(hazard)s” is named in %(briefings)s. Take it out there first.")
            % {"hazard": hazard, "briefings": ", ".join(named_in)}
        )
    hazard.delete()


def keep_hazard(hazard: Hazard, assessment: Assessment) -> Hazard:
    """Save a hazard and put its controls in place of those it had."""
    said = asdict(assessment)
    controls = said.pop("controls")
    for field, value in said.items():
        setattr(hazard, field, value)
    hazard.full_clean()
    hazard.save()
    hazard.controls.all().delete()
    for kind, text in controls:
        control = Control(hazard=hazard, kind=kind, text=text)
        control.full_clean()
        control.save()
    return hazard


def _require_named_person(assessment: Assessment) -> None:
    if lacks_named_person(assessment.severity, assessment.controller):
        raise ValidationError(
            {
                "controller": _(
                    "This hazard can kill: name the person who controls it, "
                    "however unlikely it is."
                )
            }
        )
