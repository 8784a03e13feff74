"""The pages of one turn: to change it by hand, and to write down who trod."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.conf import settings
from django.db.models import Case, When
from django.urls import reverse
from django.utils.translation import gettext as _

from heritage.dam.models import RotaPlan, Treader, TreaderState, Treading
from heritage.dam.selectors.fitness import fitness, may_tick
from heritage.dam.selectors.lacks import Lack, lack_of
from heritage.dam.selectors.treading import EARLY
from heritage.kits.ical import Entry
from heritage.people.models import User, Volunteer, VolunteerQuerySet

# How long a turn stands in a calendar: common practice, no source.
TAKES = timedelta(minutes=45)


@dataclass(frozen=True, slots=True)
class Candidate:
    """One person beside one turn, and what keeps them off it, if anything."""

    row: Treader
    barred: str
    knows: bool


@dataclass(frozen=True, slots=True)
class TurnPage:
    """One turn as an organiser arranges it."""

    turn: Treading
    plan: RotaPlan
    on: tuple[Candidate, ...]
    can: tuple[Candidate, ...]
    cannot: tuple[Treader, ...]
    is_open: bool

    @property
    def lack(self) -> Lack:
        return lack_of(self.plan, [one.row for one in self.on])


@dataclass(frozen=True, slots=True)
class RecordPage:
    """One turn as it is written down: who may be ticked, and who is to begin with."""

    turn: Treading
    people: VolunteerQuerySet
    ticked: list[int]
    watcher: int | None
    may_write: bool


def turn_page(turn: Treading, now: datetime) -> TurnPage:
    """Return who is on a turn, could come, or cannot: five queries at most."""
    plan = RotaPlan.objects.for_page().get(pk=turn.plan_id)
    rows = list(Treader.objects.in_turns([turn]).of_active().with_people())
    fit = fitness(plan, [row.volunteer for row in rows])
    found = []
    for row in rows:
        why = fit.refusal(turn, row.volunteer)
        knows = fit.knows_the_work(row.volunteer)
        found.append(Candidate(row, why.reason if why else "", knows))
    return TurnPage(
        turn=turn,
        plan=plan,
        on=tuple(one for one in found if one.row.is_on),
        can=tuple(one for one in found if one.row.state == TreaderState.CAN),
        cannot=tuple(row for row in rows if row.state == TreaderState.CANNOT),
        is_open=turn.at > now and not turn.dropped_at and not plan.ret.lifted_at,
    )


def record_page(turn: Treading, user: User, now: datetime) -> RecordPage:
    """Say whom a reader may tick as having trodden: a lead everybody, others the turn.

    Whoever is on the turn, offered to come, or is the reader's own household.
    """
    where = turn.plan.ret.dam.demonstration
    rows = list(Treader.objects.in_turns([turn]))
    listed = Volunteer.objects.of(where)
    if may_tick(user, where):
        keys = {
            person.pk for person in listed.active() if person.age_on(turn.day) >= 18
        }
    else:
        me = user.volunteers.active().of(where).first()
        mine = listed.active().answered_for_by(me) if me else listed.none()
        keys = {person.pk for person in mine if person.age_on(turn.day) >= 18}
    keys |= {row.volunteer_id for row in rows if row.state != TreaderState.CANNOT}
    keys |= {row.volunteer_id for row in rows if row.trod}
    ticked = [row.volunteer_id for row in rows if row.trod]
    ticked = ticked or [
        row.volunteer_id for row in rows if row.is_on and not row.watches
    ]
    first = Case(When(pk__in=ticked, then=0), default=1)
    return RecordPage(
        turn=turn,
        people=listed.of_keys(sorted(keys)).order_by(first, "name", "pk"),
        ticked=ticked,
        watcher=next((row.volunteer_id for row in rows if row.watches), None),
        may_write=turn.at - EARLY <= now and turn.dropped_at is None,
    )


def own_turns(volunteer: Volunteer) -> list[Entry]:
    """Return one volunteer's turns as a calendar holds them: one query."""
    where = volunteer.demonstration
    rows = Treader.objects.by(volunteer).of(where).on().live().of_taken_rotas()
    found = rows.select_related("turn__plan__ret__dam").order_by("turn__at", "pk")
    return [_entry(row, volunteer) for row in found]


def _entry(row: Treader, volunteer: Volunteer) -> Entry:
    where, ret = volunteer.demonstration, row.turn.plan.ret
    path = reverse("dam:treading", args=[where.slug, ret.pk])
    return Entry(
        uid=f"treading-{row.pk}-{where.slug}",
        stamp=row.changed_at,
        starts=row.turn.at,
        ends=row.turn.at + TAKES,
        summary=(_("Watching the treading: %s") if row.watches else _("Treading: %s"))
        % ret.dam.name,
        location=where.place_name,
        description=(
            _("You watch from the bank and do nothing else.")
            if row.watches
            else _("Wait on the bank until the others and the watcher are there.")
        ),
        url=f"{settings.SITE_ADDRESS}{path}",
        # A turn that moves keeps its name, and rises by its time.
        sequence=int(row.turn.at.timestamp()) // 60 % 1_000_000,
    )
