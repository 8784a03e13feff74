"""Everything beyond the few places, by what it is for."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.common.access import Role
from heritage.common.models import Viewer
from heritage.gatherings.models import Gathering, Station
from heritage.machines.models import Machine
from heritage.people.request import Standing

MEMBER, LEADS = Role.VOLUNTEER, Role.ORGANISER
Link = tuple[Promise, str, Role]
SAFETY: list[Link] = [
    (_("Safety briefings"), "desk:safety", MEMBER),
    (_("Emergency sheet"), "briefings:emergency", MEMBER),
    (_("Lost child"), "incidents:lost_children", MEMBER),
    (_("Report an incident"), "incidents:report_incident", MEMBER),
    (_("Hazards"), "briefings:hazards", MEMBER),
    (_("Cautions for this field"), "briefings:cautions", MEMBER),
    (_("Lifting and carrying"), "machines:lifting", MEMBER),
    (_("Stones"), "machines:stones", MEMBER),
]
MACHINES: list[Link] = [(_("Machines"), "machines:machines", MEMBER)]
OPEN_DAYS: list[Link] = [
    (_("How many visitors"), "grounds:site", MEMBER),
    (_("Stewards"), "grounds:stewards", MEMBER),
]
TO_SHOW: list[Link] = [
    (_("Pictures"), "pictures:list", MEMBER),
    (_("Sheets to print"), "public:shelf", MEMBER),
    (_("What visitors see"), "public:demonstration", MEMBER),
    (_("Calendar on your phone"), "diary:subscribe", MEMBER),
    (_("Archive of the season"), "archive:page", LEADS),
]
SETTINGS: list[Link] = [
    (_("Settings"), "desk:settings", LEADS),
    (_("Patterns for gatherings"), "gatherings:patterns", LEADS),
    (_("Skills"), "people:competences", LEADS),
    (_("Wording of permissions"), "people:words", LEADS),
    (_("Privacy settings"), "people:keeping", LEADS),
]
RECORDS: list[Link] = [
    (_("Incidents"), "incidents:incidents", MEMBER),
    (_("Pay statements"), "tally:statements", LEADS),
    (_("E-mails sent"), "people:letters", LEADS),
    (_("Complaints"), "privacy:complaints", LEADS),
    (_("People on the list twice"), "privacy:merges", LEADS),
    (_("Due for deletion"), "privacy:due", LEADS),
    (_("Deleted people"), "privacy:erasures", LEADS),
    (_("Everything we keep, as files"), "privacy:everything", LEADS),
]


@dataclass(frozen=True, slots=True)
class Section:
    """One heading with its links: (words, address)."""

    heading: Promise
    links: list[tuple[Promise, str]]


@dataclass(frozen=True, slots=True)
class More:
    """The page: what is in use, the records, and what sleeps until its season."""

    sections: list[Section]
    records: list[tuple[Promise, str]]
    asleep: list[tuple[Promise, str]]


def more(standing: Standing, now: datetime) -> More:
    """Return what somebody may open beside the places: two queries."""
    here = standing.demonstration
    sleepers = {True: list(SAFETY), False: []}
    sleepers[Machine.objects.of(here).exists()] += MACHINES
    sleepers[Station.objects.of(here).for_visitors(now).exists()] += OPEN_DAYS
    sections = [
        Section(_("Safety"), _open(sleepers[True], standing)),
        Section(_("Pictures and paper"), _open(TO_SHOW, standing)),
        Section(_("Settings"), _open(SETTINGS, standing)),
    ]
    return More(
        sections=[section for section in sections if section.links],
        records=_open(RECORDS, standing),
        asleep=_open(sleepers[False], standing),
    )


def next_address(standing: Standing, user: Viewer, now: datetime) -> str:
    """Return the page of somebody's next gathering, else of the next, else of all."""
    ahead = Gathering.objects.visible_to(user).of(standing.demonstration)
    ahead = ahead.going_ahead().upcoming(now)
    mine = ahead.expecting(standing.volunteer) if standing.volunteer else ahead.none()
    first = mine.first() or ahead.first()
    if first:
        return first.get_absolute_url()
    return reverse("gatherings:list", args=[standing.demonstration.slug])


def _open(links: list[Link], standing: Standing) -> list[tuple[Promise, str]]:
    slug = standing.demonstration.slug
    return [
        (label, reverse(name, args=[slug]))
        for label, name, least in links
        if standing.role >= least
    ]
