"""Two whole demonstrations and everybody who might ask: for tests of access."""

import uuid
from dataclasses import dataclass, field
from typing import Any

from heritage.people.models import AgeBand, User
from heritage.season.models import Demonstration, Stage
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_check,
    make_dam,
    make_demonstration,
    make_entry,
    make_gathering,
    make_hazard,
    make_organiser,
    make_picture,
    make_plot,
    make_reading,
    make_ret,
    make_sign_up,
    make_station,
    make_turnout,
    make_user,
    make_volunteer,
)
from tests.tally.rows import make_measure, make_own_log, make_work


@dataclass
class World:
    """One demonstration with a row of every kind, and its people."""

    demonstration: Demonstration
    rows: dict[str, Any] = field(default_factory=dict)
    users: dict[str, User] = field(default_factory=dict)


def make_world(**fields: Any) -> World:
    """Make a demonstration in which every trade has a row."""
    world = World(make_demonstration(**fields))
    here = {"demonstration": world.demonstration}
    people = {
        "volunteer": make_volunteer(**here),
        "lead": make_volunteer(**here),
        "organiser": make_organiser(**here),
        "gone": make_volunteer(left_at=NOW, **here),
    }
    world.users = {name: person.user for name, person in people.items()}
    world.rows = _season(here) | _evening(here, people) | _water(here)
    world.rows |= people | {
        "child": make_volunteer(
            user=None, age_band=AgeBand.FROM_13, guardian=people["volunteer"], **here
        )
    }
    return world


def make_keeper() -> User:
    return make_user(is_staff=True)


def _season(here: dict[str, Any]) -> dict[str, Any]:
    picture = make_picture(**here)
    record = here["demonstration"].stage_records.create(stage=Stage.PULLING)
    return {"plot": make_plot(**here), "picture": picture, "stage_record": record}


def _evening(here: dict[str, Any], people: dict[str, Any]) -> dict[str, Any]:
    ann = people["volunteer"]
    hazard, briefing = make_hazard(**here), make_briefing(**here)
    briefing.hazards.add(hazard)
    version = make_briefing_version(briefing=briefing)
    gathering = make_gathering(lead=people["lead"], **here)
    station = make_station(gathering=gathering)
    return (
        {
            "hazard": hazard,
            "briefing": briefing,
            "version": version,
            "acknowledgement": make_acknowledgement(version=version, volunteer=ann),
            "gathering": gathering,
            "station": station,
            "call": gathering.calls.create(
                decision="go", advice="go", made_at=NOW, made_by=people["lead"].user
            ),
            "sign_up": make_sign_up(station=station, volunteer=ann),
            "turnout": make_turnout(gathering=gathering, volunteer=ann),
            "entry": make_entry(gathering=gathering, volunteer=ann),
        }
        | _field_page(gathering, people["lead"].user)
        | _book(here, gathering, ann)
    )


def _book(here: dict[str, Any], gathering: Any, ann: Any) -> dict[str, Any]:
    """Make what else the tally book holds: ground, other work, somebody's own log."""
    return {
        "pulled_area": make_measure(
            gathering=gathering, plot=make_plot(**here), area_m2=100
        ),
        "work": make_work(gathering=gathering),
        "own_log": make_own_log(gathering=gathering, volunteer=ann),
    }


def _field_page(gathering: Any, by: User) -> dict[str, Any]:
    """Make what the field page writes down: a receipt, a note, a thunder."""
    said = {"key": uuid.uuid4(), "kind": "note", "outcome": "kept", "words": "Dry."}
    moments = {"received_at": NOW, "counts_from": NOW}
    return {
        "receipt": gathering.receipts.create(by=by, **said, **moments),
        "note": gathering.notes.create(by=by, at=NOW, text="Dry."),
        "thunder": gathering.thunder.create(by=by, at=NOW),
    }


def _water(here: dict[str, Any]) -> dict[str, Any]:
    dam = make_dam(**here)
    ret = make_ret(dam=dam)
    return {
        "dam": dam,
        "ret": ret,
        "reading": make_reading(ret=ret),
        "check": make_check(ret=ret),
    }
