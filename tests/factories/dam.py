"""Factories of the treading rota, the filling evening, and the dam's own book."""

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from heritage.briefings.models import Briefing
from heritage.dam.models import (
    AskedOf,
    DamWork,
    Filled,
    FillEvening,
    FillLoad,
    FlowTest,
    Foretold,
    Half,
    LeakTest,
    Outcome,
    Reckoning,
    RotaPlan,
    StoneMove,
    StoneWay,
    Treader,
    TreaderState,
    Treading,
    WaterAsked,
    WorkKind,
)
from heritage.gatherings.models import StationKind
from heritage.lots.models import Place
from heritage.people.models import Volunteer
from tests.factories.core import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_dam,
    make_demonstration,
    make_hazard,
    make_ret,
    make_user,
    make_volunteer,
)
from tests.factories.crop import make_move, make_pulled_lot

TODAY = NOW.date()


def make_filled(**fields: Any) -> Filled:
    """Make what filled a dam: a whole ret's beets of one lot, and out once lifted."""
    ret = fields.get("ret") or make_ret()
    lot = fields.pop("lot", None) or make_pulled_lot(
        demonstration=ret.dam.demonstration, beets=ret.beets
    )
    ways = [(Place.STOOK, Place.DAM, ret.began_at)]
    ways += [(Place.DAM, Place.GRASS, ret.lifted_at)] if ret.lifted_at else []
    for source, target, at in ways:
        move = make_move(lot=lot, source=source, target=target, beets=ret.beets, at=at)
        filled = Filled.objects.create(ret=ret, move=move)
    return filled


def make_outcome(**fields: Any) -> Outcome:
    if "ret" not in fields:
        fields["ret"] = make_ret()
    return Outcome.objects.create(**fields)


def make_foretold(**fields: Any) -> Foretold:
    """Make what was said of a ret on one day: tomorrow, the day after, two later."""
    days = zip(("early", "likely", "late"), (1, 2, 4), strict=True)
    said = {name: NOW + timedelta(days=day) for name, day in days}
    of_ret = {"what": "ret", "said_on": TODAY}
    if "ret" not in fields and fields.get("what", "ret") == "ret":
        fields["ret"] = make_ret()
    if "demonstration" not in fields:
        ret = fields.get("ret")
        fields["demonstration"] = ret.dam.demonstration if ret else make_demonstration()
    return Foretold.objects.create(**said | of_ret | fields)


def make_reckoning(**fields: Any) -> Reckoning:
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Reckoning.objects.create(**fields)


def make_stone_move(**fields: Any) -> StoneMove:
    fields = {"at": NOW, "way": StoneWay.ON, "each_kg": 12, "how_many": 4} | fields
    if "ret" not in fields:
        fields["ret"] = make_ret()
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return StoneMove.objects.create(**fields)


def make_dam_briefing(**fields: Any) -> Briefing:
    """Make a briefing that names a danger of the water."""
    briefing = make_briefing(**fields)
    where = briefing.demonstration
    briefing.hazards.add(make_hazard(demonstration=where, works=[StationKind.TREAD]))
    return briefing


def make_rota_plan(**fields: Any) -> RotaPlan:
    fields = {"first_day": date(2026, 8, 12), "last_day": date(2026, 8, 20)} | fields
    if "ret" not in fields:
        fields["ret"] = make_ret()
    if "briefing" not in fields:
        briefing = make_dam_briefing(demonstration=fields["ret"].dam.demonstration)
        fields["briefing"] = make_briefing_version(briefing=briefing).briefing
    return RotaPlan.objects.create(**fields)


def hear_of_plan(plan: RotaPlan, *people: Volunteer) -> None:
    """Let people have heard the briefing of a plan, if it has one that is published."""
    version = plan.briefing and plan.briefing.versions.order_by("number").last()
    for who in people:
        if version and not version.acknowledgements.filter(volunteer=who).exists():
            make_acknowledgement(version=version, volunteer=who)


def make_treading(**fields: Any) -> Treading:
    """Make a turn, on the evening of the 13th if not said."""
    fields = {"day": date(2026, 8, 13), "half": Half.EVENING} | fields
    if "plan" not in fields:
        fields["plan"] = make_rota_plan()
    if "at" not in fields:
        clock = time(8) if fields["half"] == Half.MORNING else time(18)
        zone = fields["plan"].ret.dam.demonstration.zone
        fields["at"] = datetime.combine(fields["day"], clock, tzinfo=zone)
    return Treading.objects.create(**fields)


def make_treader(**fields: Any) -> Treader:
    fields = {"state": TreaderState.CAN, "changed_at": NOW} | fields
    if "turn" not in fields:
        fields["turn"] = make_treading()
    if "volunteer" not in fields:
        where = fields["turn"].plan.ret.dam.demonstration
        fields["volunteer"] = make_volunteer(demonstration=where)
    hear_of_plan(fields["turn"].plan, fields["volunteer"])
    return Treader.objects.create(**fields)


def make_fill_evening(**fields: Any) -> FillEvening:
    """Make the plan of a filling that starts two hours before now, of a pulled lot."""
    fields = {"starts_at": NOW - timedelta(hours=2), "load_beets": 60} | fields
    fields = {"distance_m": 500} | fields
    if "dam" not in fields:
        fields["dam"] = make_dam()
    here = fields["dam"].demonstration
    lots = fields.pop("lots", None) or [make_pulled_lot(demonstration=here, beets=150)]
    evening = FillEvening.objects.create(**fields)
    evening.lots.set(lots)
    return evening


def make_fill_load(**fields: Any) -> FillLoad:
    """Make a load that came to the dam, now if not said."""
    evening = fields.get("evening") or make_fill_evening()
    lot = fields.pop("lot", None) or evening.lots.get()
    given = {"beets": fields.pop("beets", 60), "at": fields.pop("at", NOW)}
    return FillLoad.objects.create(evening=evening, move=make_move(lot=lot, **given))


def make_dam_work(**fields: Any) -> DamWork:
    fields = {"kind": WorkKind.REPAIR, "day": TODAY, "note": "Mended it."} | fields
    if "dam" not in fields:
        fields["dam"] = make_dam()
    return DamWork.objects.create(**fields)


def make_leak_test(**fields: Any) -> LeakTest:
    """Make a test of a day in which the water fell by 30 mm."""
    levels = {"first_depth_m": Decimal("1.000"), "second_depth_m": Decimal("0.970")}
    times = {"first_at": NOW - timedelta(days=1), "second_at": NOW}
    fields = levels | times | fields
    if "dam" not in fields:
        fields["dam"] = make_dam()
    return LeakTest.objects.create(**fields)


def make_flow_test(**fields: Any) -> FlowTest:
    """Make a stream that fills ten litres in five seconds."""
    given = {"day": TODAY, "supply": "The stream", "litres": 10, "first_s": 5}
    fields = given | fields
    if "dam" not in fields:
        fields["dam"] = make_dam()
    return FlowTest.objects.create(**fields)


def make_water_asked(**fields: Any) -> WaterAsked:
    given = {"about": AskedOf.TAKE, "who": "River agency", "asked_on": TODAY}
    fields = given | fields
    if "dam" not in fields:
        fields["dam"] = make_dam()
    return WaterAsked.objects.create(**fields)
