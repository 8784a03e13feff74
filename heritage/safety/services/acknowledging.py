"""Record that somebody heard a briefing: truly, in time, and for the right person."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.people.models import User, Volunteer
from heritage.safety import selectors
from heritage.safety.models import (
    Acknowledgement,
    Briefing,
    BriefingVersion,
    HeardHow,
)
from heritage.season.models import Demonstration

# A lead hands the signed sheet in the day after, at the latest.
LEADS_TICK_FOR = timedelta(days=1)


@transaction.atomic
def acknowledge(
    *,
    version: BriefingVersion,
    volunteer: Volunteer,
    by: User,
    now: datetime,
    how: str = HeardHow.SCREEN,
    read_by: Volunteer | None = None,
) -> Acknowledgement:
    """Record that somebody heard the current version of a briefing, now.

    On a screen people answer for themselves, and a guardian for a child. What was
    heard aloud or signed on paper is ticked by an organiser or a lead.
    """
    briefing = _hold(version)
    if selectors.current_version(briefing) != version:
        raise ValidationError(
            _("This briefing has changed. Read the new version, then confirm it.")
        )
    return _record(briefing, version, volunteer, by, now, how, read_by)


@transaction.atomic
def acknowledge_afterwards(
    *,
    version: BriefingVersion,
    volunteer: Volunteer,
    by: User,
    heard_at: datetime,
    read_by: Volunteer,
) -> Acknowledgement:
    """Record what was read aloud where there was no signal, and by whom.

    The words read may have changed since: that they were heard stays true, and the
    new ones are heard anew. Told twice, it is the same hearing.
    """
    briefing = _hold(version)
    earlier = version.acknowledgements.filter(volunteer=volunteer).first()
    if earlier:
        return earlier
    # Its words were on the phone, so it was heard after it was published.
    at = max(heard_at, version.published_at)
    return _record(briefing, version, volunteer, by, at, HeardHow.ALOUD, read_by)


def _hold(version: BriefingVersion) -> Briefing:
    # Lines are merged and erased with the demonstration held: none goes under us.
    Demonstration.objects.select_for_update(no_key=True).get(
        pk=version.briefing.demonstration_id
    )
    return Briefing.objects.select_for_update().get(pk=version.briefing_id)


def _record(
    briefing: Briefing,
    version: BriefingVersion,
    volunteer: Volunteer,
    by: User,
    now: datetime,
    how: str,
    read_by: Volunteer | None,
) -> Acknowledgement:
    rows = Volunteer.objects.standing().active().of_keys([volunteer.pk])
    if volunteer.demonstration_id != briefing.demonstration_id or not rows.exists():
        raise ValidationError(_("%s is not a volunteer here.") % volunteer)
    _require_right_to_say(briefing, volunteer, by, how, now)
    heard = Acknowledgement(
        version=version,
        volunteer=volunteer,
        heard_at=now,
        how=how,
        recorded_by=by,
        read_by=read_by,
    )
    if version.acknowledgements.filter(volunteer=volunteer).exists():
        raise ValidationError(
            _("%s has acknowledged this briefing already.") % volunteer
        )
    heard.full_clean()
    heard.save()
    return heard


@transaction.atomic
def acknowledge_all(
    *,
    version: BriefingVersion,
    volunteers: Iterable[Volunteer],
    by: User,
    now: datetime,
    how: str,
) -> list[Acknowledgement]:
    """Tick off everybody who stood and listened: all of them, or none."""
    return [
        acknowledge(version=version, volunteer=person, by=by, how=how, now=now)
        for person in volunteers
    ]


def _require_right_to_say(
    briefing: Briefing, volunteer: Volunteer, by: User, how: str, now: datetime
) -> None:
    if how == HeardHow.SCREEN:
        answers = volunteer.guardian or volunteer
        if by.pk not in (volunteer.user_id, answers.user_id):
            raise ValidationError(
                _("You can confirm a briefing only for yourself and your children.")
            )
        return
    mine = Briefing.objects.told_by(by, now - LEADS_TICK_FOR)
    if not mine.filter(pk=briefing.pk).exists():
        raise ValidationError(
            _("Only an organiser or the lead ticks off those who heard it.")
        )
