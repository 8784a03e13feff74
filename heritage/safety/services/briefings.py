"""Compose a briefing, and publish it in words that then stay as they are."""

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.people.models import User
from heritage.safety import mail, selectors
from heritage.safety.models import Briefing, BriefingVersion, Hazard
from heritage.safety.services.hazards import local_day
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class BriefingWords:
    """What an organiser writes on a briefing."""

    title: str
    task: str
    plan: str = ""
    in_charge: str = ""
    stop_signal: str = ""
    no_go: str = ""
    machine_stop: str = ""
    lifting: str = ""
    clothing: str = ""
    weather: str = ""
    not_for: str = ""
    first_aid: str = ""
    aed: str = ""
    hospital: str = ""
    emergency: str = ""
    grid_reference: str = ""
    assembly_point: str = ""
    lost_child: str = ""
    welfare: str = ""
    photos: str = ""


@transaction.atomic
def compose_briefing(
    *, demonstration: Demonstration, words: BriefingWords, hazards: Iterable[Hazard]
) -> Briefing:
    """Write a briefing; nobody can hear it until it is published."""
    return _keep(Briefing(demonstration=demonstration), words, hazards)


@transaction.atomic
def revise_briefing(
    *, briefing: Briefing, words: BriefingWords, hazards: Iterable[Hazard]
) -> Briefing:
    """Change a briefing; what was published holds until it is published again."""
    Briefing.objects.select_for_update().get(pk=briefing.pk)
    return _keep(briefing, words, hazards)


@transaction.atomic
def publish(*, briefing: Briefing, user: User, now: datetime) -> BriefingVersion:
    """Freeze a briefing's words as its next version.

    Acknowledgements of the versions before are void from then on, because only the
    newest version counts as heard; whoever had heard the last one is written to.
    """
    briefing = Briefing.objects.select_for_update().get(pk=briefing.pk)
    day = local_day(briefing.demonstration, now)
    reasons = selectors.reasons_not_to_publish(briefing, day)
    if reasons:
        raise ValidationError(reasons)
    before = selectors.current_version(briefing)
    if not selectors.has_changed(briefing, before):
        raise ValidationError(
            _("Nothing has changed since version %s, so it still holds.")
            % (before.number if before else "")
        )
    version = BriefingVersion(
        briefing=briefing,
        number=before.number + 1 if before else 1,
        content=selectors.words_of(briefing),
        published_at=now,
        published_by=user,
    )
    version.full_clean()
    version.save()
    mail.hear_again(version, selectors.voided_by(version, now), now)
    return version


def _keep(
    briefing: Briefing, words: BriefingWords, hazards: Iterable[Hazard]
) -> Briefing:
    chosen = list(hazards)
    home = briefing.demonstration_id
    if any(hazard.demonstration_id != home for hazard in chosen):
        raise ValidationError(
            {"hazards": _("Choose among the hazards of this demonstration.")}
        )
    for field, value in asdict(words).items():
        setattr(briefing, field, value)
    briefing.full_clean()
    briefing.save()
    briefing.hazards.set(chosen)
    return briefing
