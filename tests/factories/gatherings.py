"""Patterns, runs and head-counts, one row at a time."""

from datetime import date, time
from typing import Any

from heritage.gatherings.models import (
    Awaited,
    Muster,
    Pattern,
    PatternStation,
    Run,
    Safe,
    StationKind,
    Weighing,
)
from heritage.people.models import AgeBand
from heritage.season.models import Stage
from tests.factories.core import (
    NOW,
    make_demonstration,
    make_gathering,
    make_user,
    make_volunteer,
    next_number,
)


def make_pattern(**fields: Any) -> Pattern:
    fields = {"title": f"Hand pulling {next_number()}", "stage": Stage.PULLING} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Pattern.objects.create(**fields)


def make_pattern_station(**fields: Any) -> PatternStation:
    fields = {
        "kind": StationKind.PULL,
        "title": f"Pull {next_number()}",
        "places": 12,
        "fewest": 4,
        "least_age": AgeBand.FROM_13,
    } | fields
    if "pattern" not in fields:
        fields["pattern"] = make_pattern()
    return PatternStation.objects.create(**fields)


def make_run(**fields: Any) -> Run:
    fields = {
        "title": "Pulling, Monday to Friday",
        "weekdays": [0, 1, 2, 3, 4],
        "first_day": date(2026, 8, 13),
        "last_day": date(2026, 8, 28),
        "starts": time(18, 30),
        "ends": time(20, 45),
        "made_at": NOW,
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "made_by" not in fields:
        fields["made_by"] = make_user()
    return Run.objects.create(**fields)


def make_muster(**fields: Any) -> Muster:
    fields = {"called_at": NOW, "why": "Thunder"} | fields
    if "gathering" not in fields:
        fields["gathering"] = make_gathering()
    if "called_by" not in fields:
        fields["called_by"] = make_user()
    return Muster.objects.create(**fields)


def make_awaited(**fields: Any) -> Awaited:
    if "muster" not in fields:
        fields["muster"] = make_muster()
    muster = fields["muster"]
    if "volunteer" not in fields:
        home = muster.gathering.demonstration
        fields["volunteer"] = make_volunteer(demonstration=home)
    fields.setdefault("since", muster.called_at)
    return Awaited.objects.create(**fields)


def make_safe(**fields: Any) -> Safe:
    if "muster" not in fields:
        fields["muster"] = make_muster()
    muster = fields["muster"]
    if "volunteer" not in fields:
        home = muster.gathering.demonstration
        fields["volunteer"] = make_volunteer(demonstration=home)
    fields.setdefault("seen_at", NOW)
    fields.setdefault("seen_by", muster.called_by)
    return Safe.objects.create(**fields)


def make_weighing(**fields: Any) -> Weighing:
    fields = {
        "work": StationKind.FEED,
        "may": True,
        "why": "Has fed the puller beside Liam for two evenings.",
        "weighed_at": NOW,
    } | fields
    if "volunteer" not in fields:
        fields["volunteer"] = make_volunteer()
    if "weighed_by" not in fields:
        fields["weighed_by"] = make_user()
    return Weighing.objects.create(**fields)
