"""A show with far more of everything than is ordinary, to see how its pages bear it.

``python -m tests.everywhere FOLDER --overfull`` keeps its pages instead of the show's.
"""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Any

from heritage.fieldlog.models import FieldNote
from heritage.gatherings.models import Gathering
from heritage.lots.models import Place
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration
from tests import factories as make
from tests.tally.rows import make_own_log

NOW = datetime(2026, 8, 12, 17, 40, tzinfo=UTC)
LONG = "The ground by the burn is soft after rain, so go round by the plank. " * 29
SOME = "Keep to the headland where the ground is soft, and mind the wire there. " * 4
NAME = "Bartholomew Featherstonehaugh-Cholmondeley"
FIRST = "Aoife Bran Cara Dara Emer Finn Grania Hugh Isolde Juno Kieran Lorcan"
LAST = "Ash Birch Cedar Dogwood Elder Furze Gorse Hazel Ivy Juniper Larch Maple"


def name(number: int) -> str:
    """Return a name that few share; every twentieth is a long one."""
    if number % 20 == 19:
        return f"{NAME} {number}"
    return f"{FIRST.split()[number % 12]} {LAST.split()[number // 12 % 12]}"


def times(count: int, one: Callable[[int], Any]) -> list[Any]:
    return [one(number) for number in range(count)]


def overfill(here: Demonstration) -> None:
    """Add tens of everything, some of it with as many words as may be typed."""
    of = {"demonstration": here}
    evening = Gathering.objects.of(here).get(starts_at__date="2026-08-12")
    organiser = Volunteer.objects.of(here).organisers().first()
    people = times(150, lambda n: make.make_volunteer(name=name(n), **of))
    _people(of, people)
    _evenings(of, evening, people)
    _safety(of, people)
    _crop(of, organiser.user)
    _dams(of, organiser.user)
    here.story = LONG
    here.save()


def _people(of: dict[str, Any], people: list[Volunteer]) -> None:
    skills = times(24, lambda n: make.make_competence(title=f"Mends carts {n}", **of))
    for number, person in enumerate(people[:60]):
        of_them = {"volunteer": person, "competence": skills[number % 24]}
        make.make_skill(**of_them, **({"confirmed_by": None} if number % 2 else {}))
    for person in people[:30]:
        make.make_letter(volunteer=person, subject=SOME[:120], **of)
    times(20, lambda n: make.make_invitation(email=f"asked{n}@example.org", **of))
    for person in people[-12:]:
        make.make_erasure(volunteer=person)
        make.make_complaint(about=LONG, **of)


def _evenings(of: dict[str, Any], evening: Gathering, people: list[Volunteer]) -> None:
    evening.note = LONG
    evening.save()
    stations = times(
        8, lambda n: make.make_station(gathering=evening, title=f"{n}: {SOME[:70]}")
    )
    for number, person in enumerate(people[:80]):
        make.make_sign_up(station=stations[number % 8], volunteer=person)
        if number % 2:
            began = {"arrived_at": NOW - timedelta(minutes=9), "left_at": None}
            make.make_turnout(gathering=evening, volunteer=person, **began)
        if number % 4 == 1:
            make.make_entry(gathering=evening, volunteer=person, entered_at=NOW)
    times(12, lambda n: make.make_pattern(title=f"Pulling, way {n}", **of))
    times(6, lambda n: make.make_run(title=f"Pulling, week {n}", **of))
    for number in range(30):
        start = NOW - timedelta(days=45 - number) + timedelta(minutes=50)
        ends = {"starts_at": start, "ends_at": start + timedelta(hours=2)}
        past = make.make_gathering(title=f"Evening {number}", **ends, **of)
        for person in people[number : number + 12]:
            make.make_turnout(gathering=past, volunteer=person)
            make.make_entry(gathering=past, volunteer=person, entered_at=start)
    for person in people[60:100]:
        make_own_log(gathering=past, volunteer=person, note=SOME[:200])
    for number in range(24):
        said = {"text": LONG if number % 5 == 0 else SOME, "at": NOW}
        FieldNote.objects.create(gathering=evening, by=people[0].user, **said)
    later = {"starts_at": NOW + timedelta(days=9), "note": SOME}
    for number in range(15):
        later["starts_at"] += timedelta(days=1)
        later["ends_at"] = later["starts_at"] + timedelta(hours=2)
        make.make_gathering(title=f"Evening to come {number}", **later, **of)


def _safety(of: dict[str, Any], people: list[Volunteer]) -> None:
    times(40, lambda n: make.make_hazard(title=f"Wire by post {n}", harm=SOME, **of))
    times(10, lambda n: make.make_briefing(title=f"Briefing {n}", **of))
    times(24, lambda n: make.make_first_aid_point(place=f"Post {n}, {SOME[:90]}", **of))
    times(24, lambda n: make.make_exit(name=f"Gate {n}", **of))
    times(20, lambda n: make.make_steward_post(place=f"Post {n}, {SOME[:60]}", **of))
    for number in range(15):
        machine = make.make_machine(name=f"Belt puller, the {number}th", **of)
        guards = [f"Guard {part} over the belt and its chain" for part in range(8)]
        for guard in guards:
            machine.guards.create(name=guard)
        for _ in range(6):
            make.make_machine_check(machine=machine, may_run=False, missing=guards)
    times(60, lambda n: make.make_stone(mark=f"S{n}", **of))
    for number in range(20):
        told = LONG if number % 5 == 0 else SOME
        incident = make.make_incident(account=told, **of)
    for person in people[:6]:
        make.make_witness(incident=incident, name=person.name, says=LONG)
    times(6, lambda n: make.make_evidence(incident=incident))
    times(8, lambda n: make.make_incident_change(incident=incident))
    times(6, lambda n: make.make_lost_child(looks=SOME, last_seen=SOME, **of))


def _crop(of: dict[str, Any], user: Any) -> None:
    for number in range(12):
        plot = make.make_plot(name=f"Piece {number}", sown_on=date(2026, 4, 20), **of)
        make.make_sowing(plot=plot)
        for day in range(12):
            seen = {"seen_on": date(2026, 6, 1 + day), "height_cm": 40 + day}
            make.make_observation(plot=plot, **seen)
    for number in range(40):
        make.make_lot_at(Place.GRASS if number % 2 else Place.STORE, **of)
    spreading = make.make_spreading(where="Bank field", **of)
    for _ in range(20):
        make.make_spread_lot(spreading=spreading)
    times(12, lambda n: make.make_grass_entry(spreading=spreading, entered_by=user))
    times(12, lambda n: make.make_session(**of))
    times(10, lambda n: make.make_store_check(at=NOW - timedelta(days=n), **of))
    times(60, lambda n: make.make_picture(**of))


def _dams(of: dict[str, Any], user: Any) -> None:
    for number in range(8):
        dam = make.make_dam(name=f"Dam {number}", inflow_lps=Decimal(2), **of)
        if number < 4:
            ret = make.make_ret(dam=dam)
            for hour in range(20):
                at = NOW - timedelta(hours=3 * hour)
                make.make_reading(ret=ret, at=at, entered_by=user)
        for _ in range(8):
            make.make_dam_work(dam=dam, note=SOME)
            make.make_water_asked(dam=dam)
