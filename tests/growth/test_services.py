"""Writing down a sowing, what was seen, and temperatures."""

import uuid
from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.growth import services
from heritage.growth.models import Observation, Sowing, WarmDay
from heritage.growth.services import RateMeasure, to_kg_per_ha
from heritage.growth.warmth.selectors import DayOfWarmth
from heritage.growth.warmth.services import take_in_days
from heritage.season.models import Plot
from tests.factories import (
    NOW,
    make_demonstration,
    make_observation,
    make_plot,
    make_user,
    make_warm_day,
)

TODAY = date(2026, 8, 12)
SOWN = date(2026, 4, 25)


class SowingTests(TestCase):
    def setUp(self):
        self.plot = make_plot(area_m2=Decimal(2500))

    def keep(self, **fields):
        fields = {
            "sown_on": SOWN,
            "seed": None,
            "seed_in": "plot",
            "values": {},
        } | fields
        return services.keep_sowing(plot=self.plot, **fields)

    def test_the_day_stands_with_the_plot(self):
        self.keep(values={"variety": "Blue Lint"})
        self.plot.refresh_from_db()
        assert self.plot.sown_on == SOWN
        assert Sowing.objects.get().variety == "Blue Lint"

    def test_a_second_time_is_the_same_sowing(self):
        self.keep(values={"variety": "Blue Lint"})
        self.keep(values={"variety": "White Lint"}, sown_on=None)
        assert Sowing.objects.get().variety == "White Lint"
        self.plot.refresh_from_db()
        assert self.plot.sown_on is None

    def test_seed_is_kept_by_the_hectare_whatever_its_measure(self):
        self.keep(seed=Decimal(25), seed_in="plot")
        assert Sowing.objects.get().kg_per_ha == 100
        self.keep()
        assert Sowing.objects.get().kg_per_ha is None

    def test_a_crop_is_not_seen_before_it_is_sown(self):
        make_observation(plot=self.plot, seen_on=date(2026, 5, 3))
        with pytest.raises(ValidationError, match=r"seen of this crop on 03.05.2026"):
            self.keep(sown_on=date(2026, 5, 4))
        self.plot.refresh_from_db()
        assert self.plot.sown_on is None

    def test_an_unusual_sowing_is_not_refused(self):
        values = {"depth_cm": Decimal(20), "row_cm": Decimal(90), "years_since_flax": 1}
        assert self.keep(values=values, sown_on=date(2026, 1, 2)).pk


def test_measures_of_seed_come_to_one():
    """13 g/m² are 130 kg/ha; 2 bushels an acre 125.5 (growing sources)."""
    plot = Plot(area_m2=Decimal(2500))
    rate = {one: to_kg_per_ha(Decimal(2), one, plot) for one in RateMeasure}
    assert rate == {"plot": 8, "g_m2": 20, "kg_ha": 2, "bu_acre": Decimal("125.5")}


@pytest.mark.parametrize("seed", ["0", "-1", "600"])
def test_no_seed_and_a_lorry_load_are_asked_about(seed):
    plot = Plot(area_m2=Decimal(2500))
    with pytest.raises(ValidationError):
        to_kg_per_ha(Decimal(seed), RateMeasure.WHOLE_PLOT, plot)


class ObservationTests(TestCase):
    def setUp(self):
        self.plot = make_plot(sown_on=SOWN)
        self.ann = make_user()

    def see(self, **fields):
        fields = {"seen_on": TODAY, "values": {"height_cm": 80}} | fields
        return services.observe(plot=self.plot, by=self.ann, now=NOW, **fields)

    def refused(self, match, **fields):
        with pytest.raises(ValidationError, match=match):
            self.see(**fields)
        assert not Observation.objects.exists()

    def test_what_was_seen_is_written_down_with_who_and_when(self):
        row = self.see()
        assert (row.by, row.entered_at, row.height_cm) == (self.ann, NOW, 80)

    def test_the_same_key_twice_is_one_observation(self):
        key = uuid.uuid4()
        assert self.see(key=key) == self.see(key=key)
        assert Observation.objects.count() == 1

    def test_a_day_to_come_or_before_the_sowing_is_refused(self):
        self.refused("in the future", seen_on=TODAY + timedelta(days=1))
        self.refused("sown on 25.04.2026", seen_on=SOWN - timedelta(days=1))

    def test_nothing_said_is_refused(self):
        self.refused("at least one thing", values={})

    def test_counts_without_their_frame_are_refused(self):
        self.refused("size of the frame", values={"counts": [170]})
        values = {"frame_m2": Decimal("0.1"), "counts": [170] * 61}
        self.refused("At most 60", values=values)
        self.refused("whole number", values=values | {"counts": [-1]})

    def test_an_observation_is_changed_and_taken_away(self):
        row = self.see()
        values = {"plot": self.plot, "seen_on": SOWN, "height_cm": 0}
        services.change_observation(observation=row, values=values, now=NOW)
        row.refresh_from_db()
        assert (row.seen_on, row.height_cm) == (SOWN, 0)
        services.remove_observation(observation=row)
        assert not Observation.objects.exists()


class WarmthTests(TestCase):
    def setUp(self):
        self.here = make_demonstration()
        self.ann = make_user()

    def take(self, *days):
        rows = [DayOfWarmth(day, Decimal(low), Decimal(top)) for day, low, top in days]
        return take_in_days(demonstration=self.here, days=rows, by=self.ann, now=NOW)

    def test_days_are_kept_and_a_later_word_overwrites(self):
        make_warm_day(demonstration=self.here, day=TODAY)
        assert self.take((SOWN, 4, 12), (TODAY, 5, 15), (TODAY, 6, 16)) == 2
        rows = WarmDay.objects.of(self.here).in_order()
        assert [(row.day, row.tmin_c) for row in rows] == [(SOWN, 4), (TODAY, 6)]

    def test_all_or_nothing(self):
        for bad in ((TODAY + timedelta(days=1), 5, 9), (TODAY, 50, 70), (TODAY, 9, 5)):
            with pytest.raises(ValidationError):
                self.take((SOWN, 4, 12), bad)
        assert not WarmDay.objects.exists()
