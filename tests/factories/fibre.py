"""Factories of what is after the dam: grass, store and sessions."""

from datetime import date, timedelta
from typing import Any

from heritage.fibre.models import (
    Air,
    Done,
    DryBy,
    DryTest,
    GrassEntry,
    GrassWeather,
    Session,
    SessionMove,
    SmellOf,
    Spreading,
    SpreadLot,
    StoreCheck,
    Way,
    Wet,
    Work,
)
from heritage.lots.models import Lot, Place
from tests.factories.core import NOW, make_demonstration, make_user
from tests.factories.crop import make_move, make_pulled_lot


def make_spreading(**fields: Any) -> Spreading:
    fields = {"way": Way.AFTER_DAM, "where": "Bank field"} | fields
    fields = {"spread_at": NOW - timedelta(days=1), "entered_at": NOW} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return Spreading.objects.create(**fields)


def make_lot_at(place: Place = Place.GRASS, *, beets: int = 40, **fields: Any) -> Lot:
    """Make a pulled lot whose beets are all at a place of beets."""
    fields.setdefault("made_at", NOW - timedelta(days=10))
    lot = make_pulled_lot(beets=beets, **fields)
    make_move(lot=lot, source=Place.STOOK, target=place, beets=beets, at=lot.made_at)
    return lot


def make_spread_lot(**fields: Any) -> SpreadLot:
    """Make a lot that lies on the grass in a spreading."""
    fields = {"beets": 40} | fields
    if "spreading" not in fields:
        fields["spreading"] = make_spreading()
    if "lot" not in fields:
        where = fields["spreading"].demonstration
        fields["lot"] = make_lot_at(
            Place.GRASS, beets=fields["beets"], demonstration=where
        )
    return SpreadLot.objects.create(**fields)


def make_grass_entry(**fields: Any) -> GrassEntry:
    fields = {"what": Done.TURNED, "at": NOW, "entered_at": NOW} | fields
    if "spreading" not in fields:
        fields["spreading"] = make_spreading()
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return GrassEntry.objects.create(**fields)


def make_grass_weather(**fields: Any) -> GrassWeather:
    fields = {"day": date(2026, 8, 12), "wet": Wet.DEW} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return GrassWeather.objects.create(**fields)


def make_dry_test(**fields: Any) -> DryTest:
    fields = {"way": DryBy.METER, "at": NOW, "entered_at": NOW} | fields
    if fields["way"] != DryBy.HAND:
        fields.setdefault("moisture_permille", 120)
    if "lot" not in fields:
        fields["lot"] = make_lot_at(Place.STORE)
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return DryTest.objects.create(**fields)


def make_store_check(**fields: Any) -> StoreCheck:
    fields = {"air": Air.GOOD, "smell": SmellOf.SWEET, "at": NOW} | fields
    fields = {"entered_at": NOW} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return StoreCheck.objects.create(**fields)


def make_session(**fields: Any) -> Session:
    """Make a session's row as it stands; the service makes its moves."""
    fields = {"work": Work.BREAKING, "in_dry_g": 20_000, "entered_at": NOW} | fields
    fields = {"began_at": NOW - timedelta(hours=2), "ended_at": NOW} | fields
    if "lot" not in fields:
        here = fields.get("demonstration")
        where = {"demonstration": here} if here else {}
        fields["lot"] = make_lot_at(Place.STORE, **where)
    fields.setdefault("demonstration", fields["lot"].demonstration)
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return Session.objects.create(**fields)


def make_session_move(**fields: Any) -> SessionMove:
    if "session" not in fields:
        fields["session"] = make_session()
    if "move" not in fields:
        fields["move"] = make_move(
            lot=fields["session"].lot,
            source=Place.STORE,
            target=Place.BRAKE,
            beets=5,
            dry_g=5_000,
        )
    return SessionMove.objects.create(**fields)
