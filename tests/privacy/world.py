"""One person of whom every kind of row is held."""

import uuid
from datetime import timedelta

from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_agreement,
    make_awaited,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_entry,
    make_gathering,
    make_health_note,
    make_incident,
    make_invitation,
    make_letter,
    make_muster,
    make_organiser,
    make_picture,
    make_safe,
    make_sign_up,
    make_skill,
    make_station,
    make_steward_post,
    make_turnout,
    make_volunteer,
    make_wording,
)
from tests.tally.rows import make_own_log, make_work


def make_home():
    """Make a demonstration with its organiser, Ann and her child Ned."""
    home = make_demonstration()
    ann = make_volunteer(demonstration=home, name="Ann Rush", phone="028 9000 0000")
    ned = make_volunteer(
        demonstration=home,
        name="Ned Rush",
        user=None,
        age_band=AgeBand.FROM_13,
        guardian=ann,
    )
    return home, make_organiser(demonstration=home, name="Nora Bell"), ann, ned


def fill(person, *, by, wording=None):
    """Hold one more row of every kind of one person, written by an account."""
    home = person.demonstration
    gathering = make_gathering(demonstration=home)
    begun = make_gathering(
        demonstration=home,
        starts_at=NOW - timedelta(days=2),
        ends_at=NOW - timedelta(days=2, hours=-2),
    )
    station = make_station(gathering=gathering)
    make_sign_up(station=station, volunteer=person)
    make_turnout(gathering=begun, volunteer=person)
    make_entry(gathering=begun, volunteer=person, beets=7, entered_by=by)
    make_work(gathering=begun, volunteer=person, entered_by=by)
    make_own_log(gathering=begun, volunteer=person, said_by=by)
    briefing = make_briefing(demonstration=home)
    version = make_briefing_version(briefing=briefing)
    make_acknowledgement(version=version, volunteer=person, recorded_by=by)
    make_skill(volunteer=person, confirmed_by=by)
    wording = wording or make_wording(
        demonstration=home, number=home.wordings.count() + 1
    )
    make_agreement(volunteer=person, wording=wording, given_by=by)
    make_letter(demonstration=home, volunteer=person)
    make_invitation(demonstration=home, volunteer=person, made_by=by)
    make_incident(
        demonstration=home,
        volunteer=person,
        reported_by=by,
        account="Said by somebody else",
        injury="A cut on the hand",
    )
    make_steward_post(demonstration=home, volunteer=person)
    muster = make_muster(gathering=begun, called_by=by)
    make_awaited(muster=muster, volunteer=person)
    make_safe(muster=muster, volunteer=person)
    make_picture(demonstration=home, added_by=by).people.add(person)
    moments = {"received_at": NOW, "counts_from": NOW}
    begun.receipts.create(
        key=uuid.uuid4(),
        by=by,
        kind="came",
        outcome="kept",
        words=f"{person} came",
        volunteer=person,
        **moments,
    )
    begun.notes.create(by=by, at=NOW, text="Dry.")
    begun.calls.create(decision="go", advice="go", made_at=NOW, made_by=by)
    return begun


def fill_once(person, *, by):
    """Hold also what there can be only one of."""
    make_health_note(volunteer=person, agreed_by=by)
    return fill(person, by=by)
