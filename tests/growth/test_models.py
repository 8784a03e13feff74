"""What the database itself refuses of a sowing, an observation and a warm day."""

from decimal import Decimal

import pytest
from django.db import IntegrityError, transaction

from heritage.growth.models import SAYS, Observation, WarmDay
from tests.factories import (
    make_demonstration,
    make_observation,
    make_plot,
    make_sowing,
    make_warm_day,
)

pytestmark = pytest.mark.django_db


def refused(make, rule, **fields):
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        make(**fields)


@pytest.mark.parametrize(
    ("fields", "rule"),
    [
        ({"way": "thrown"}, "sowing_way_known"),
        ({"kg_per_ha": 0}, "sowing_seed_weighs_something"),
        ({"thousand_seed_g": 0}, "sowing_seed_weighs_something"),
    ],
)
def test_a_sowing_that_cannot_be_is_refused(fields, rule):
    refused(make_sowing, rule, **fields)


def test_a_plot_is_sown_once():
    plot = make_plot()
    make_sowing(plot=plot)
    refused(make_sowing, "plot_id", plot=plot)


@pytest.mark.parametrize(
    ("fields", "rule"),
    [
        ({"note": ""}, "observation_says_something"),
        ({"flower": "gone"}, "observation_flower_known"),
        ({"weeds": "lots"}, "observation_weeds_known"),
        ({"bolls_green": 0}, "observation_has_bolls"),
        ({"frame_m2": Decimal("0.1")}, "observation_counts_with_their_frame"),
        ({"note": "x", "counts": [3]}, "observation_counts_with_their_frame"),
        ({"stems_yellow": 101}, "observation_stems_within_whole"),
        ({"leaves_fallen": 101}, "observation_leaves_within_whole"),
        ({"lodged": 101}, "observation_lodged_within_whole"),
    ],
)
def test_an_observation_that_cannot_be_is_refused(fields, rule):
    refused(make_observation, rule, **fields)


@pytest.mark.parametrize(
    "fields",
    [
        {"height_cm": 0},
        {"lodged": 0},
        {"bolls_brown": 3},
        {"note": "dry"},
        {"weeds": "few"},
        {"frame_m2": Decimal("0.1"), "counts": [0, 170]},
    ],
)
def test_any_one_thing_is_enough(fields):
    assert make_observation(**fields).pk


def test_what_an_observation_may_say_names_its_fields():
    names = {one.name for one in Observation._meta.fields}
    assert set(SAYS) <= names


def test_a_day_has_its_warmth_once_and_the_right_way_round():
    here = make_demonstration()
    row = make_warm_day(demonstration=here)
    refused(make_warm_day, "warm_day|unique|UNIQUE", demonstration=here, day=row.day)
    refused(make_warm_day, "warm_day_lowest_first", tmin_c=12, tmax_c=8)
    assert WarmDay.objects.of(here).get().heat.tmax_c == 19
    assert str(row) == "2026-06-01: 9 to 19"


def test_rows_name_themselves():
    assert "2026-07-01" in str(make_observation())
    assert str(make_sowing())
