"""Factories of the crop's lots and their moves."""

from typing import Any

from heritage.lots.models import Lot, Move, Place
from tests.factories.core import (
    NOW,
    make_demonstration,
    make_entry,
    make_gathering,
    make_user,
)


def make_lot(**fields: Any) -> Lot:
    """Make a lot made from others, unless a gathering is said."""
    gathering = fields.get("gathering")
    if gathering:
        fields.setdefault("demonstration", gathering.demonstration)
        fields.setdefault("made_at", gathering.starts_at)
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    last = Lot.objects.of(fields["demonstration"]).order_by("-number").first()
    fields = {"number": last.number + 1 if last else 1, "made_at": NOW} | fields
    return Lot.objects.create(**fields)


def make_pulled_lot(*, beets: int = 40, **fields: Any) -> Lot:
    """Make a lot that the tally has so many beets of."""
    if "gathering" not in fields:
        here = fields.get("demonstration")
        where = {"demonstration": here} if here else {}
        fields["gathering"] = make_gathering(**where)
    plot = fields.get("plot")
    make_entry(gathering=fields["gathering"], plot=plot, beets=beets)
    return make_lot(**fields)


def make_move(**fields: Any) -> Move:
    """Make a move's row as it stands; the services ask whether it may be."""
    fields = {"source": Place.STOOK, "target": Place.CART, "beets": 5} | fields
    fields = {"at": NOW, "entered_at": NOW} | fields
    if "lot" not in fields:
        fields["lot"] = make_pulled_lot()
    fields.setdefault("to_lot", fields["lot"])
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return Move.objects.create(**fields)
