"""Compose a briefing, and publish it in words that then stay as they are.

What was heard afterwards stays heard in its version: a hearing that a phone sends after
a new version was published is kept for the old one and opens nothing.
"""

import json
from collections.abc import Collection, Iterable, Mapping
from datetime import datetime, timedelta
from importlib.resources import files
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.briefings import mail, selectors
from heritage.briefings.hazards.services import local_day, write_hazard
from heritage.briefings.models import (
    Acknowledgement,
    Briefing,
    BriefingVersion,
    Hazard,
    HeardHow,
)
from heritage.common.rows import fill_in, lock
from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration

# A lead hands the signed sheet in the day after, at the latest.
LEADS_TICK_FOR = timedelta(days=1)


@transaction.atomic
def keep_briefing(
    *, briefing: Briefing, values: Mapping[str, Any], hazards: Iterable[Hazard]
) -> Briefing:
    """Write a briefing, or change it; what was published holds until it is again.

    Raises
    ------
    ValidationError
        By field, if a hazard is of another demonstration or a value cannot be.
    """
    chosen, home = list(hazards), briefing.demonstration_id
    if any(hazard.demonstration_id != home for hazard in chosen):
        raise ValidationError({"hazards": _("Choose hazards from the list.")})
    briefing = fill_in(lock(briefing) if briefing.pk else briefing, values)
    briefing.hazards.set(chosen)
    return briefing


@transaction.atomic
def publish(*, briefing: Briefing, user: User, now: datetime) -> BriefingVersion:
    """Freeze a briefing's words as its next version.

    Acknowledgements of the versions before are void from then on, because only the
    newest version counts as heard; those who had heard the last one are written to.
    """
    briefing = lock(briefing)
    day = local_day(briefing.demonstration, now)
    reasons = selectors.reasons_not_to_publish(briefing, day)
    if reasons:
        raise ValidationError(reasons)
    before = selectors.current_version(briefing)
    if not selectors.has_changed(briefing, before):
        raise ValidationError(_("Nothing has changed since you last published it."))
    version = BriefingVersion(briefing=briefing, published_at=now, published_by=user)
    number = before.number + 1 if before else 1
    fill_in(version, {"number": number, "content": selectors.words_of(briefing)})
    mail.hear_again(version, selectors.voided_by(version, now), now)
    return version


@transaction.atomic
def acknowledge(
    *,
    version: BriefingVersion,
    volunteer: Volunteer,
    by: User,
    now: datetime,
    how: str = HeardHow.SCREEN,
    in_short: bool = False,
    read_by: Volunteer | None = None,
) -> Acknowledgement:
    """Record that somebody heard the current version of a briefing, now.

    On a screen people answer for themselves, and a guardian for a child. What was
    heard aloud or signed on paper is ticked by an organiser or a lead. ``in_short``
    says that it was heard in its short form, with the whole at hand.
    """
    briefing = _hold(version)
    if selectors.current_version(briefing) != version:
        raise ValidationError(
            _("This briefing has changed. Read the new version, then confirm it.")
        )
    heard = Acknowledgement(
        version=version,
        volunteer=volunteer,
        heard_at=now,
        how=how,
        in_short=in_short,
        recorded_by=by,
        read_by=read_by,
    )
    return _record(briefing, heard)


@transaction.atomic
def acknowledge_afterwards(
    *,
    version: BriefingVersion,
    volunteer: Volunteer,
    by: User,
    heard_at: datetime,
    read_by: Volunteer,
    in_short: bool = False,
) -> Acknowledgement:
    """Record what was read aloud where there was no signal, in which form, by whom.

    The words read may have changed since: that they were heard stays true, and the
    new ones are heard anew. Told twice, it is the same hearing.
    """
    briefing = _hold(version)
    earlier = version.acknowledgements.filter(volunteer=volunteer).first()
    if earlier:
        return earlier
    # Its words were on the phone, so it was heard after it was published.
    heard = Acknowledgement(
        version=version,
        volunteer=volunteer,
        heard_at=max(heard_at, version.published_at),
        how=HeardHow.ALOUD,
        in_short=in_short,
        recorded_by=by,
        read_by=read_by,
    )
    return _record(briefing, heard)


def _hold(version: BriefingVersion) -> Briefing:
    # Lines are merged and erased with the demonstration held: none goes under us.
    Demonstration.objects.select_for_update(no_key=True).get(
        pk=version.briefing.demonstration_id
    )
    return Briefing.objects.select_for_update().get(pk=version.briefing_id)


def _record(briefing: Briefing, heard: Acknowledgement) -> Acknowledgement:
    person = heard.volunteer
    if heard.in_short and not selectors.short_of(heard.version.content):
        raise ValidationError(_("This briefing has no short form. Read all of it."))
    rows = Volunteer.objects.standing().active().of_keys([person.pk])
    if person.demonstration_id != briefing.demonstration_id or not rows.exists():
        raise ValidationError(_("%s isn't on the list here. Add them first.") % person)
    _require_right_to_say(briefing, heard)
    if heard.version.acknowledgements.filter(volunteer=person).exists():
        raise ValidationError(_("%s has confirmed this briefing already.") % person)
    return fill_in(heard, {})


@transaction.atomic
def acknowledge_all(
    *,
    version: BriefingVersion,
    volunteers: Iterable[Volunteer],
    by: User,
    now: datetime,
    how: str,
    in_short: bool = False,
) -> list[Acknowledgement]:
    """Tick off everybody who stood and listened: all of them, or none."""
    said: dict[str, Any] = {"by": by, "how": how, "in_short": in_short, "now": now}
    return [
        acknowledge(version=version, volunteer=person, **said) for person in volunteers
    ]


def _require_right_to_say(briefing: Briefing, heard: Acknowledgement) -> None:
    person, by = heard.volunteer, heard.recorded_by
    if heard.how == HeardHow.SCREEN:
        answers = person.guardian or person
        if by.pk not in (person.user_id, answers.user_id):
            raise ValidationError(
                _("You can confirm a briefing only for yourself and your children.")
            )
        return
    mine = Briefing.objects.told_by(by, heard.heard_at - LEADS_TICK_FOR)
    if not mine.filter(pk=briefing.pk).exists():
        raise ValidationError(_("Only an organiser or the lead can tick people off."))


@transaction.atomic
def load_starting_library(
    *,
    demonstration: Demonstration,
    user: User | None,
    now: datetime,
    controller: str = "",
    only: Collection[str] | None = None,
) -> list[Hazard]:
    """Add the hazards of this work that are not on the list yet; return those added.

    Loaded without a controller, the severest ones wait for a name: no briefing with
    them can be published until each has one.
    """
    lock(demonstration)
    known = set(demonstration.hazards.values_list("title", flat=True))
    return [
        write_hazard(
            Hazard(demonstration=demonstration, controller=controller),
            row,
            row.pop("controls"),
            user,
            now,
        )
        for row in _read("starting_hazards.json")
        if row["title"] not in known and (only is None or row["title"] in only)
    ]


@transaction.atomic
def compose_starting_briefing(
    *, demonstration: Demonstration, title: str, user: User, now: datetime
) -> Briefing:
    """Compose one starting briefing that is not there yet, with its hazards.

    Nobody can hear it until an organiser has named who is in charge and published it.
    """
    (row,) = [one for one in _read("starting_briefings.json") if one["title"] == title]
    named = row.pop("hazards")
    load_starting_library(demonstration=demonstration, user=user, now=now, only=named)
    hazards = demonstration.hazards.filter(title__in=named)
    new = Briefing(demonstration=demonstration)
    return keep_briefing(briefing=new, values=row, hazards=hazards)


@transaction.atomic
def load_starting_briefings(
    *, demonstration: Demonstration, in_charge: str, user: User, now: datetime
) -> list[Briefing]:
    """Compose the starting briefings that are not there yet, and publish what may be.

    The hazards they name are added first if they are missing. A briefing that may
    not be published yet stays as it is composed, and its page says why.
    """
    load_starting_library(
        demonstration=demonstration, controller=in_charge, user=user, now=now
    )
    day = local_day(demonstration, now)
    hazards = {hazard.title: hazard for hazard in demonstration.hazards.all()}
    known = set(demonstration.briefings.values_list("title", flat=True))
    added = []
    for row in _read("starting_briefings.json"):
        named = [hazards[title] for title in row.pop("hazards")]
        if row["title"] in known:
            continue
        new = Briefing(demonstration=demonstration, in_charge=in_charge)
        briefing = keep_briefing(briefing=new, values=row, hazards=named)
        if not selectors.reasons_not_to_publish(briefing, day):
            publish(briefing=briefing, user=user, now=now)
        added.append(briefing)
    return added


def _read(name: str) -> list[dict[str, Any]]:
    text = files("heritage.briefings").joinpath(name).read_text(encoding="utf-8")
    rows: list[dict[str, Any]] = json.loads(text)
    return rows
