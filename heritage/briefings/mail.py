"""The letter to those whose hearing of a briefing no longer counts.

It goes into the letter book once for each version and reader; a newer one overtakes
those that still wait to be sent.
"""

from collections import defaultdict
from datetime import datetime

from django.conf import settings
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _

from heritage.briefings.models import BriefingVersion
from heritage.briefings.selectors import Voided
from heritage.people.letters import services as letters
from heritage.people.letters.selectors import address_of, own_address
from heritage.people.models import Volunteer


def hear_again(version: BriefingVersion, again: list[Voided], now: datetime) -> None:
    """Write to each household of those who must hear a briefing again.

    People whom no letter reaches stand in the letter book only while they hold a
    place: then somebody has to tell them in another way.
    """
    homes: defaultdict[Volunteer, list[Voided]] = defaultdict(list)
    for one in again:
        if one.place or address_of(one.volunteer):
            homes[reader_of(one.volunteer)].append(one)
    for reader, people in homes.items():
        _write(version, reader, people, now)


def reader_of(person: Volunteer) -> Volunteer:
    """Return who reads what is written to somebody: a child's guardian, if need be."""
    if own_address(person) or person.guardian is None:
        return person
    return person.guardian


def _write(
    version: BriefingVersion, reader: Volunteer, people: list[Voided], now: datetime
) -> None:
    briefing = version.briefing
    where = briefing.demonstration
    path = reverse("briefings:briefing", args=[where.slug, briefing.pk])
    facts = {
        "reader": reader,
        "people": people,
        "version": version,
        "briefing": briefing,
        "demonstration": where,
        "address": f"{settings.SITE_ADDRESS}{path}",
    }
    letters.write(
        demonstration=where,
        key=f"hear-again:{version.pk}:{reader.pk}",
        volunteer=reader,
        address=address_of(reader),
        subject=_("Hear it again: %s") % briefing.title,
        text=render_to_string("briefings/mail/hear_again.txt", facts),
        now=now,
        about=f"briefing {briefing.pk}",
        overtakes=[reader],
    )
