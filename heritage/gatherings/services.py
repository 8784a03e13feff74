"""Posting gatherings, changing what was posted, and the patterns to post from."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from typing import Any, NotRequired, TypedDict, cast

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.briefings.models import Briefing
from heritage.briefings.services import compose_starting_briefing
from heritage.common.rows import fill_in, lock
from heritage.gatherings.asked.selectors import day_of, is_barred_today
from heritage.gatherings.ground.services import lock_gathering
from heritage.gatherings.letters import mail
from heritage.gatherings.letters.mail import Before
from heritage.gatherings.models import (
    Gathering,
    GatheringStatus,
    Pattern,
    PatternStation,
    Station,
    StationKind,
)
from heritage.gatherings.places.services import fill
from heritage.gatherings.selectors import StartingPattern, starting_patterns
from heritage.people.competences.selectors import first_aiders
from heritage.people.models import AgeBand, Competence, User, Volunteer
from heritage.season.models import AT_THE_DAM, Demonstration, Plot, Stage

STATION_FIELDS = (
    "kind",
    "title",
    "places",
    "fewest",
    "least_age",
    "competence",
    "briefing",
    "note",
)


@dataclass(frozen=True, slots=True)
class StationPlan:
    """One station as it is to be; ``station`` is the one it changes, if any."""

    kind: str
    title: str
    places: int
    fewest: int = 0
    least_age: str = AgeBand.FROM_16
    competence: Competence | None = None
    briefing: Briefing | None = None
    note: str = ""
    station: Station | None = None

    @property
    def name(self) -> str:
        """What tells the station from the others of its gathering."""
        return self.title.casefold()

    def values(self) -> dict[str, Any]:
        """Return what the station is to say."""
        return {name: getattr(self, name) for name in STATION_FIELDS}


def set_stations(gathering: Gathering, plans: Sequence[StationPlan]) -> None:
    """Give a gathering, which is locked, the stations planned and no others."""
    require_plans(gathering.demonstration, plans, gathering.stage)
    kept = {plan.station.pk for plan in plans if plan.station}
    for station in gathering.stations.in_order():
        if station.pk not in kept:
            _take_away(station)
    for plan in plans:
        _set_station(gathering, plan)


def require_plans(
    demonstration: Demonstration, plans: Sequence[StationPlan], stage: str
) -> None:
    """Refuse plans that are none, are alike, or ask for what belongs elsewhere.

    Work at the water is refused without a briefing on the water.
    """
    if not plans:
        raise ValidationError(_("Add at least one station."))
    if len({plan.name for plan in plans}) < len(plans):
        raise ValidationError(_("Two stations have the same name. Rename one."))
    for plan in plans:
        if plan.briefing and plan.briefing.demonstration_id != demonstration.pk:
            raise ValidationError(_("Choose a briefing from the list."))
        if plan.competence and plan.competence.demonstration_id != demonstration.pk:
            raise ValidationError(_("Choose a skill from the list."))
    require_water_briefed(stage, plans)


def require_water_briefed(
    stage: str, stations: Iterable[StationPlan | Station]
) -> None:
    """Refuse work with hands over or at the water without a briefing on the water."""
    for one in stations:
        if not StationKind(one.kind).is_at_water(stage):
            continue
        if one.briefing is None:
            words = _(
                "%s is work at the water. Choose the briefing people must hear first."
            )
            raise ValidationError(words % one.title)
        if not speaks_of_water(one.briefing):
            words = _(
                "%(station)s is work at the water, and the briefing “%(briefing)s” "
                "names none of its dangers. Choose another, or add them to it."
            )
            values = {"station": one.title, "briefing": one.briefing}
            raise ValidationError(words % values)


def speaks_of_water(briefing: Briefing) -> bool:
    """Tell whether a briefing names a danger met in treading, or at the dam alone."""
    return any(
        StationKind.TREAD in hazard.works
        or (not hazard.works and AT_THE_DAM.intersection(hazard.stages))
        for hazard in briefing.hazards.all()
    )


def _set_station(gathering: Gathering, plan: StationPlan) -> None:
    station = plan.station or Station(gathering=gathering)
    if station.gathering_id != gathering.pk:
        raise ValidationError(_("That station belongs to another gathering."))
    for name in STATION_FIELDS:
        setattr(station, name, getattr(plan, name))
    if station.pk:
        held = station.sign_ups.held().count()
        if station.places < held:
            raise ValidationError(
                _("%(held)d people have a place at %(station)s. Move somebody first.")
                % {"held": held, "station": station}
            )
    station.full_clean()
    station.save(update_fields=[*STATION_FIELDS] if station.pk else None)


def _take_away(station: Station) -> None:
    if station.sign_ups.live().exists():
        raise ValidationError(
            _("People are signed up for %s. Move them before you remove it.") % station
        )
    station.sign_ups.over().delete()
    station.delete()


SHOWN = ("title", "stage", "place", "starts_at", "ends_at", "bring", "note")
TIMES = ("starts_at", "ends_at")
KEPT = (
    "status", "sequence", "revised_at", "moved_from", "moved_from_place", "entered_at"
)  # fmt: skip


class Details(TypedDict):
    """What is posted of a gathering, besides its stations."""

    title: str
    stage: str
    plot: Plot | None
    place: str
    starts_at: datetime
    ends_at: datetime
    bring: str
    note: str
    lead: Volunteer | None
    first_aider: NotRequired[Volunteer | None]


@transaction.atomic
def post(
    *,
    demonstration: Demonstration,
    details: Details,
    stations: Sequence[StationPlan],
    now: datetime,
    as_draft: bool = False,
    afterwards: bool = False,
) -> Gathering:
    """Post a gathering with its stations, or keep it as a draft.

    One that is over can be entered ``afterwards``, from paper: it is marked so, its
    turnout and tally can be written in, and it offers no places.
    """
    status = GatheringStatus.DRAFT if as_draft else GatheringStatus.POSTED
    gathering = Gathering(
        demonstration=demonstration, status=status, revised_at=now, **details
    )
    if afterwards and not as_draft:
        gathering.entered_at = now
    write_evenings([gathering], stations, now)
    return gathering


def write_evenings(
    rows: Sequence[Gathering], stations: Sequence[StationPlan], now: datetime
) -> None:
    """Write new evenings that differ only in their times, each with its stations.

    One evening is checked for all of them; they are written in two statements.
    """
    first, last = rows[0], rows[-1]
    require_ours(first)
    # Good on the last day is good before it; of age on the first is of age after it.
    for row in [first] if last is first else [first, last]:
        require_first_aider(row)
    for row in rows:
        _require_time(row, now)
    first.full_clean()
    require_plans(first.demonstration, stations, first.stage)
    if any(plan.station for plan in stations):
        raise ValidationError(_("That station belongs to another gathering."))
    Gathering.objects.bulk_create(rows)
    new_stations = [
        Station(gathering=row, **plan.values()) for row in rows for plan in stations
    ]
    for station in new_stations[: len(stations)]:
        station.full_clean(exclude=["gathering"])
    Station.objects.bulk_create(new_stations)
    if not first.is_draft:
        _require_guards(first, [plan.kind for plan in stations], now)


@transaction.atomic
def post_first(
    *,
    demonstration: Demonstration,
    starts_at: datetime,
    ends_at: datetime,
    now: datetime,
) -> Gathering:
    """Post the first evening of pulling by hand, as the starting pattern has it.

    People meet at the place itself. Children under 13 wait until an organiser has
    opened a station to them.
    """
    first = next(one for one in starting_patterns() if one.stage == Stage.PULLING)
    briefings = {row.title: row for row in Briefing.objects.of(demonstration)}
    details = Details(
        title=_("Pulling evening"),
        stage=first.stage,
        plot=Plot.objects.of(demonstration).in_order().first(),
        place=demonstration.place_name,
        starts_at=starts_at,
        ends_at=ends_at,
        bring=first.bring,
        note=first.note,
        lead=None,
    )
    stations = [
        replace(plan, least_age=AgeBand.FROM_13)
        for plan in _pattern_plans(first, briefings, {})
    ]
    return post(
        demonstration=demonstration, details=details, stations=stations, now=now
    )


@transaction.atomic
def edit(
    *,
    gathering: Gathering,
    details: Details,
    stations: Sequence[StationPlan] | None,
    now: datetime,
    publish: bool = False,
    same_place: bool = False,
    tells: bool = True,
    afterwards: bool = False,
) -> Gathering:
    """Change a gathering; everybody signed up is told of a new time or place.

    The calendar's sequence rises with the times and with a place that people must
    find anew (RFC 5546, 2.1.4), never because words were changed: with
    ``same_place`` the place is where it was. Without ``stations`` they stay.
    A change of several evenings is told together, and so not of each (``tells``).
    What was entered afterwards was never announced, so nothing of it moves.
    """
    gathering = lock_gathering(gathering)
    before = Before(gathering.starts_at, gathering.ends_at, gathering.place)
    was_draft = gathering.is_draft
    changed = _fill_in(gathering, details)
    retimed, published = bool(changed & {*TIMES}), publish and was_draft
    if afterwards and published:
        gathering.entered_at = now
    if retimed or published:
        _require_time(gathering, now, publish)
    was_announced = not was_draft and gathering.entered_at is None
    moved = was_announced and (retimed or ("place" in changed and not same_place))
    if was_announced:
        _remember(gathering, before, same_place)
    _revise(gathering, bool(changed), moved, published, now)
    gathering.full_clean()
    gathering.save(update_fields=[*details, *KEPT])
    kept = _keep_stations(gathering, stations, "stage" in changed)
    if published:
        _require_guards(gathering, [station.kind for station in kept], now)
    if moved and tells and not gathering.is_called_off:
        transaction.on_commit(partial(mail.changed, gathering.pk, before))
    for station in kept:
        fill(gathering, station, now)
    return gathering


def _fill_in(gathering: Gathering, details: Details) -> set[str]:
    """Put the details in if they may be, and return which of those shown changed."""
    before = {name: getattr(gathering, name) for name in SHOWN}
    aider = gathering.first_aider_id
    for name, value in details.items():
        setattr(gathering, name, value)
    changed = {name for name in SHOWN if getattr(gathering, name) != before[name]}
    require_ours(gathering)
    if changed & {*TIMES} or gathering.first_aider_id != aider:
        require_first_aider(gathering)
    return changed


def _keep_stations(
    gathering: Gathering, stations: Sequence[StationPlan] | None, is_new_stage: bool
) -> list[Station]:
    """Give a gathering the stations planned, or keep its own, and return them."""
    if stations is not None:
        set_stations(gathering, stations)
    kept = list(gathering.stations.select_related("briefing").in_order())
    if stations is None and is_new_stage:
        require_water_briefed(gathering.stage, kept)
    return kept


@transaction.atomic
def put_off(
    *, gathering: Gathering, starts_at: datetime, ends_at: datetime, now: datetime
) -> Gathering:
    """Move a gathering to another time, as it is; everybody signed up is told.

    Asked twice for the same time, it is moved once.
    """
    gathering = lock_gathering(gathering)
    if gathering.is_called_off:
        raise ValidationError(
            _(
                "It's been called off, and everybody was told. Put it on again first, "
                "or copy it to another day."
            )
        )
    if now >= gathering.starts_at and not gathering.is_draft:
        raise ValidationError(_("It's begun or over. Copy it to another day instead."))
    details = {name: getattr(gathering, name) for name in Details.__annotations__}
    details |= {"starts_at": starts_at, "ends_at": ends_at}
    return edit(
        gathering=gathering, details=cast(Details, details), stations=None, now=now
    )


@transaction.atomic
def delete_draft(*, gathering: Gathering) -> None:
    """Throw a draft away; what was posted can only be called off."""
    gathering = lock_gathering(gathering)
    if not gathering.is_draft:
        raise ValidationError(
            _("It's posted, and people may have seen it. Call it off instead.")
        )
    gathering.delete()


def require_ours(gathering: Gathering) -> None:
    """Refuse a plot or a lead of elsewhere, and a lead who is no adult here."""
    for name in ("plot", "lead"):
        chosen = getattr(gathering, name)
        if chosen and chosen.demonstration_id != gathering.demonstration_id:
            raise ValidationError({name: _("Choose one from the list.")})
    lead = gathering.lead
    if lead and (lead.age_band != AgeBand.ADULT or lead.left_at):
        raise ValidationError({"lead": _("Choose an adult who is still on the list.")})


def require_first_aider(gathering: Gathering) -> None:
    """Refuse a first-aider whose first aid is not confirmed and good on the day."""
    chosen = gathering.first_aider
    if chosen is None:
        return
    able = first_aiders(gathering.demonstration, day_of(gathering))
    if chosen not in able:
        words = _(
            "%s cannot be the first-aider that day: it is an adult of this "
            "demonstration whose first aid an organiser has confirmed, and it must "
            "not run out before the day. Choose another, or confirm it under “People”."
        )
        raise ValidationError({"first_aider": words % chosen})


def _require_guards(gathering: Gathering, works: list[str], now: datetime) -> None:
    """Refuse work at a machine today that a missing guard has stopped."""
    if gathering.entered_at is not None:
        return
    if why := is_barred_today(gathering, works, now):
        words = _(
            "%s Have the guard put back and looked at first, or post it without that "
            "work."
        )
        raise ValidationError(words % why)


def _remember(gathering: Gathering, before: Before, same_place: bool) -> None:
    """Keep when and where it was first announced, until it is back there.

    Who read a poster knows the first time, however often it moved since.
    """
    first = gathering.moved_from or before.starts_at
    gathering.moved_from = first if first != gathering.starts_at else None
    first_place = gathering.moved_from_place
    if not first_place and not same_place:
        first_place = before.place
    at_first = first_place == gathering.place
    gathering.moved_from_place = "" if at_first else first_place


def _revise(
    gathering: Gathering, changed: bool, moved: bool, published: bool, now: datetime
) -> None:
    """Let the calendar's numbers and the state say what has changed."""
    gathering.sequence += moved
    if published:
        gathering.status = GatheringStatus.POSTED
    if changed or published:
        gathering.revised_at = now


def _require_time(gathering: Gathering, now: datetime, publish: bool = False) -> None:
    """Refuse a time that is past, or for what is entered afterwards, one to come."""
    if gathering.entered_at is not None:
        if gathering.ends_at > now:
            raise ValidationError(
                {"afterwards": _("It isn't over yet. Untick this to post it.")}
            )
    elif gathering.starts_at <= now and (publish or not gathering.is_draft):
        raise ValidationError(
            {
                "day": _(
                    "That time has passed. Choose a later one, or tick below that "
                    "you're entering it afterwards."
                )
            }
        )


# What a pattern says, besides its stations.
PATTERN_FIELDS = ("title", "stage", "bring", "note")


@transaction.atomic
def keep_pattern(
    *, pattern: Pattern, values: Mapping[str, Any], stations: Sequence[StationPlan]
) -> Pattern:
    """Keep a kind of gathering with its stations: a new one, or one that is changed."""
    lock(pattern.demonstration)
    require_plans(pattern.demonstration, stations, values["stage"])
    fill_in(pattern, values)
    # Nothing points at a pattern's stations, so they are simply written anew.
    pattern.stations.all().delete()
    for plan in stations:
        fill_in(PatternStation(pattern=pattern), plan.values())
    return pattern


@transaction.atomic
def delete_pattern(*, pattern: Pattern) -> None:
    """Take a pattern off the list; what was posted from it stays as it is."""
    pattern.delete()


@transaction.atomic
def start_with(
    *, demonstration: Demonstration, titles: Collection[str], by: User, now: datetime
) -> int:
    """Take starting patterns into the list, and say how many.

    One whose title is on the list already is left alone, so a second press adds
    nothing. A competence is asked where the demonstration has it. A briefing is
    always asked: one that is missing is composed, to be read and published.
    """
    lock(demonstration)
    known = {row.title.casefold() for row in Pattern.objects.of(demonstration)}
    briefings = {row.title: row for row in Briefing.objects.of(demonstration)}
    able = {row.title.casefold(): row for row in Competence.objects.of(demonstration)}
    added = 0
    for one in starting_patterns():
        if one.title in titles and one.title.casefold() not in known:
            for name in {row["briefing"] for row in one.stations if "briefing" in row}:
                briefings[name] = briefings.get(name) or compose_starting_briefing(
                    demonstration=demonstration, title=name, user=by, now=now
                )
            keep_pattern(
                pattern=Pattern(demonstration=demonstration),
                values={name: getattr(one, name) for name in PATTERN_FIELDS},
                stations=_pattern_plans(one, briefings, able),
            )
            added += 1
    return added


def _pattern_plans(
    one: StartingPattern, briefings: dict[str, Briefing], able: dict[str, Competence]
) -> list[StationPlan]:
    plans = []
    for row in one.stations:
        briefing = briefings.get(row.get("briefing", ""))
        competence = able.get(row.get("competence", "").casefold())
        asked = {"briefing": briefing, "competence": competence}
        plans.append(StationPlan(**(row | asked)))
    return plans
