"""Two whole demonstrations and everybody who might ask: for tests of access."""

import uuid
from dataclasses import dataclass, field
from datetime import timedelta
from typing import Any

from heritage.gatherings.models import RainAhead
from heritage.people.models import AgeBand, User
from heritage.season.models import Demonstration, Stage
from tests.factories import (
    NOW,
    make_account_letter,
    make_acknowledgement,
    make_agreement,
    make_archive,
    make_awaited,
    make_briefing,
    make_briefing_version,
    make_check,
    make_competence,
    make_complaint,
    make_complaint_step,
    make_crowd_plan,
    make_dam,
    make_dam_work,
    make_deleted_picture,
    make_demonstration,
    make_dry_test,
    make_emergency_plan,
    make_entry,
    make_erasure,
    make_evidence,
    make_exit,
    make_fill_evening,
    make_fill_load,
    make_filled,
    make_first_aid_point,
    make_flow_test,
    make_foretold,
    make_gathering,
    make_grass_entry,
    make_grass_weather,
    make_hazard,
    make_hazard_change,
    make_health_note,
    make_incident,
    make_incident_change,
    make_invitation,
    make_leak_test,
    make_letter,
    make_lost_child,
    make_lot,
    make_machine,
    make_machine_check,
    make_merge,
    make_move,
    make_muster,
    make_observation,
    make_organiser,
    make_outcome,
    make_pattern,
    make_pattern_station,
    make_permission,
    make_picture,
    make_plot,
    make_printing,
    make_reading,
    make_reckoning,
    make_ret,
    make_rota_plan,
    make_run,
    make_safe,
    make_session,
    make_session_move,
    make_sign_up,
    make_skill,
    make_sowing,
    make_spread_lot,
    make_spreading,
    make_station,
    make_steward_post,
    make_stone,
    make_stone_move,
    make_store_check,
    make_tidying,
    make_treader,
    make_treading,
    make_turnout,
    make_user,
    make_volunteer,
    make_warm_day,
    make_water_asked,
    make_weighing,
    make_witness,
    make_wording,
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
    world.rows |= _fibre(here)
    world.rows |= _held(here, people["volunteer"]) | _wrong(here, people["volunteer"])
    world.rows |= _ground(here) | _again(here, world.rows["gathering"])
    world.rows |= people | {
        "child": make_volunteer(
            user=None, age_band=AgeBand.FROM_13, guardian=people["volunteer"], **here
        )
    }
    world.rows |= _asked(here, people["volunteer"])
    world.rows |= _growing(here, world.rows["plot"], people["volunteer"].user)
    return world


def _growing(here: dict[str, Any], plot: Any, by: User) -> dict[str, Any]:
    """Make what is written down of the growing crop."""
    return {
        "sowing": make_sowing(plot=plot),
        "observation": make_observation(plot=plot, by=by),
        "warm_day": make_warm_day(by=by, **here),
    }


def _asked(here: dict[str, Any], ann: Any) -> dict[str, Any]:
    """Make what people ask about what is held of them."""
    complaint = make_complaint(**here)
    return {
        "erasure": make_erasure(volunteer=ann),
        "merge": make_merge(kept=ann),
        "tidying": make_tidying(**here),
        "complaint": complaint,
        "complaint_step": make_complaint_step(complaint=complaint),
    }


def make_keeper() -> User:
    return make_user(is_staff=True)


def _season(here: dict[str, Any]) -> dict[str, Any]:
    picture = make_picture(**here)
    record = here["demonstration"].stage_records.create(stage=Stage.PULLING)
    return {
        "plot": make_plot(**here),
        "picture": picture,
        "stage_record": record,
        "permission": make_permission(picture=picture),
        "deleted_picture": make_deleted_picture(**here),
        "archive": make_archive(**here),
        "printing": make_printing(**here),
    }


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
            "rain": RainAhead.objects.create(made_at=NOW, read_at=NOW, **here),
            "sign_up": make_sign_up(station=station, volunteer=ann),
            "turnout": make_turnout(gathering=gathering, volunteer=ann),
            "entry": make_entry(gathering=gathering, volunteer=ann),
        }
        | _field_page(gathering, people["lead"].user)
        | _book(here, gathering, ann)
    )


def _book(here: dict[str, Any], gathering: Any, ann: Any) -> dict[str, Any]:
    """Make what else the tally book holds: ground, other work, somebody's own log.

    Beside it stands the lot that was pulled, and where some of it went.
    """
    lot = make_lot(gathering=gathering)
    return {
        "lot": lot,
        "move": make_move(lot=lot, who=ann),
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


def _fibre(here: dict[str, Any]) -> dict[str, Any]:
    """Make what is after the dam: on the grass, in the store, at the brake."""
    spread_lot = make_spread_lot(spreading=make_spreading(**here))
    session_move = make_session_move(session=make_session(**here))
    return {
        "spreading": spread_lot.spreading,
        "spread_lot": spread_lot,
        "grass_entry": make_grass_entry(spreading=spread_lot.spreading),
        "grass_weather": make_grass_weather(**here),
        "dry_test": make_dry_test(lot=spread_lot.lot),
        "store_check": make_store_check(**here),
        "session": session_move.session,
        "session_move": session_move,
    }


def _water(here: dict[str, Any]) -> dict[str, Any]:
    dam = make_dam(**here)
    ret = make_ret(dam=dam)
    turn = make_treading(plan=make_rota_plan(ret=ret))
    return {
        "dam": dam,
        "ret": ret,
        "filled": make_filled(ret=ret),
        "rota_plan": turn.plan,
        "treading": turn,
        "treader": make_treader(turn=turn),
        "reading": make_reading(ret=ret),
        "check": make_check(ret=ret),
        "dam_work": make_dam_work(dam=dam),
        "leak_test": make_leak_test(dam=dam),
        "flow_test": make_flow_test(dam=dam),
        "water_asked": make_water_asked(dam=dam),
        "fill_load": (load := make_fill_load(evening=make_fill_evening(dam=dam))),
        "fill_evening": load.evening,
        "outcome": make_outcome(ret=ret),
        "foretold": make_foretold(ret=ret, **here),
        "reckoning": make_reckoning(**here),
        "stone_move": make_stone_move(ret=ret),
    }


def _held(here: dict[str, Any], ann: Any) -> dict[str, Any]:
    """Make what is held of a volunteer, and the letters and invitations."""
    competence, wording = make_competence(**here), make_wording(**here)
    return {
        "competence": competence,
        "skill": make_skill(volunteer=ann, competence=competence),
        "health_note": make_health_note(volunteer=ann),
        "wording": wording,
        "agreement": make_agreement(volunteer=ann, wording=wording),
        "invitation": make_invitation(**here),
        # The pages go by the real clock, and a claim's sheet is there while it works.
        "claim": make_invitation(
            volunteer=ann, email="", expires_at=NOW + timedelta(days=36500), **here
        ),
        "letter": make_letter(**here),
        "account_letter": make_account_letter(user=ann.user, state="failed"),
        "weighing": make_weighing(volunteer=ann),
    }


def _wrong(here: dict[str, Any], ann: Any) -> dict[str, Any]:
    """Make an incident that the volunteer wrote down, and a child's log."""
    incident = make_incident(reported_by=ann.user, **here)
    return {
        "incident": incident,
        "evidence": make_evidence(incident=incident),
        "witness": make_witness(incident=incident),
        "incident_change": make_incident_change(incident=incident),
        "lost_child": make_lost_child(**here),
    }


def _ground(here: dict[str, Any]) -> dict[str, Any]:
    """Make the ground's plan, its machines and its stones."""
    machine = make_machine(**here)
    return {
        "hazard_change": make_hazard_change(**here),
        "emergency_plan": make_emergency_plan(**here),
        "first_aid_point": make_first_aid_point(**here),
        "exit": make_exit(**here),
        "crowd_plan": make_crowd_plan(**here),
        "steward_post": make_steward_post(**here),
        "machine": machine,
        "machine_check": make_machine_check(machine=machine),
        "stone": make_stone(**here),
    }


def _again(here: dict[str, Any], gathering: Any) -> dict[str, Any]:
    """Make what gatherings are posted from, and a head-count at one."""
    pattern, muster = make_pattern(**here), make_muster(gathering=gathering)
    return {
        "pattern": pattern,
        "pattern_station": make_pattern_station(pattern=pattern),
        "run": make_run(**here),
        "muster": muster,
        "awaited": make_awaited(muster=muster),
        "safe": make_safe(muster=muster),
    }
