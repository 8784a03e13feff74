"""How fast the crop comes up, and what that rests on."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.test import TestCase

from heritage.gatherings.models import WhyOff
from heritage.tally.forecast.selectors import dry_record, local_record
from heritage.tally.pace.selectors import LOAD, rates
from heritage.tally.selectors import field_progress
from tests.factories import (
    NOW,
    make_demonstration,
    make_entry,
    make_gathering,
    make_plot,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.tally.rows import make_call, make_work

DAY = timedelta(days=1)


class RateTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        make_plot(demonstration=cls.demonstration, area_m2=Decimal("4046.86"))

    def evening(self, days_ago, **fields):
        start = NOW - days_ago * DAY
        return make_gathering(
            demonstration=self.demonstration,
            starts_at=start,
            ends_at=start + timedelta(hours=2),
            **fields,
        )

    def pulled(self, evening, beets, way="hand", hours=2):
        person = make_volunteer(demonstration=self.demonstration)
        make_entry(gathering=evening, volunteer=person, beets=beets, way=way)
        left = evening.starts_at + timedelta(hours=hours) if hours else None
        make_turnout(gathering=evening, volunteer=person, left_at=left)
        return person

    def rates(self):
        return rates(self.demonstration, field_progress(self.demonstration), NOW)

    def test_until_measured_the_default_says_that_it_is_one(self):
        found = self.rates()
        assert found.hand.words.startswith("until you measure: a published rate")
        assert "eight pullers" in found.machine.words
        assert (found.load.band, found.usual_pullers) == (LOAD, 0)
        # 40 m² of a practised puller, with half the crew new, at 612 beets an acre.
        assert found.hand.band.likely == pytest.approx(40 * 0.85 * 612 / 4046.86, 1e-3)
        assert found.share.likely == pytest.approx(0.6)

    def test_hands_are_measured_by_the_hours_of_those_who_pulled(self):
        for days_ago, beets in ((3, 16), (2, 24)):
            evening = self.evening(days_ago)
            self.pulled(evening, beets)
            make_turnout(gathering=evening)
        hand = self.rates().hand
        assert hand.band.likely == pytest.approx(10.0)
        assert hand.words == "measured on 2 evenings"
        assert hand.band.low < 10 < hand.band.high

    def test_who_has_not_left_measures_nothing(self):
        self.pulled(self.evening(1), 16, hours=None)
        assert self.rates().hand.evenings == 0
        assert self.rates().usual_pullers == 1

    def test_the_machine_is_measured_by_the_minutes_it_ran_and_stood(self):
        evening = self.evening(1)
        self.pulled(evening, 90, way="machine")
        make_work(gathering=evening, kind="running", amount=60)
        make_work(gathering=evening, kind="stopped", amount=30)
        machine = self.rates().machine
        assert machine.band.likely == pytest.approx(60.0)
        assert machine.words == "measured on 1 evening"

    def test_a_load_is_measured_by_the_beets_carted(self):
        evening = self.evening(1)
        make_work(gathering=evening, kind="carted", amount=200)
        make_work(gathering=evening, kind="loads", amount=4)
        assert self.rates().load.band.likely == pytest.approx(50.0)

    def test_the_share_who_come_is_counted_where_a_turnout_was_kept(self):
        evening = self.evening(1)
        station = make_station(gathering=evening, places=9)
        for comes in (True, True, True, False):
            person = make_sign_up(station=station).volunteer
            if comes:
                make_turnout(gathering=evening, volunteer=person)
        make_sign_up(station=make_station(gathering=self.evening(2)))
        share = self.rates().share
        assert (share.came, share.held, share.evenings) == (3, 4, 1)
        assert share.likely == pytest.approx((3 + 3) / (5 + 4))

    def test_rates_cost_five_queries(self):
        progress = field_progress(self.demonstration)
        for days_ago in range(1, 6):
            self.pulled(self.evening(days_ago), 10)
        with self.assertNumQueries(5):
            found = rates(self.demonstration, progress, NOW)
        assert found.hand.evenings == 5


class WeatherTests(TestCase):
    def test_with_no_record_the_placeholders_stand(self):
        record = dry_record([])
        assert (record.wet_to_dry.likely, record.dry_to_dry.likely) == (0.40, 0.65)
        assert (record.last_day, record.last_was_dry, record.evenings) == (
            None,
        ) * 2 + (0,)

    def test_only_neighbouring_days_tell_how_days_follow(self):
        days = [
            (date(2026, 8, day), dry)
            for day, dry in ((3, True), (4, True), (5, False), (6, True), (10, False))
        ]
        record = dry_record(days)
        assert record.dry_to_dry.likely == pytest.approx((6.5 + 1) / 12)
        assert record.wet_to_dry.likely == pytest.approx((4 + 1) / 11)
        assert (record.dry, record.wet, record.neighbours) == (3, 2, 3)
        assert (record.last_day, record.last_was_dry) == (date(2026, 8, 10), False)

    def test_chances_stay_chances_at_their_ends(self):
        chance = dry_record([]).dry_to_dry
        assert 0 < chance.at(-1) < chance.at(0) < chance.at(1) < 1

    def test_calls_make_the_record(self):
        demonstration = make_demonstration()

        def called(days_ago, **said):
            start = NOW - days_ago * DAY
            evening = make_gathering(
                demonstration=demonstration, starts_at=start, ends_at=start + DAY / 12
            )
            make_call(gathering=evening, **said)
            return evening

        called(9)
        called(8, decision="off", why_off="rain")
        called(7, decision="off", why_off="wet_crop")
        called(6, decision="hold")
        twice = called(1)
        make_call(
            gathering=twice,
            decision="off",
            why_off="rain",
            made_at=twice.starts_at + timedelta(hours=1),
        )
        with self.assertNumQueries(1):
            record = local_record(demonstration, NOW)
        assert (record.dry, record.wet) == (1, 3)
        assert record.neighbours == 2
        assert record.last_was_dry is False

    def test_only_rain_and_a_wet_crop_make_a_wet_evening_whatever_is_said(self):
        """A gale, thunder and a broken trailer are no rain; nor is a call uncoded."""
        demonstration = make_demonstration()
        says_rain = {
            "decision": "off",
            "note": "The trailer is broken, and rain is wet.",
            "reasons": ["No rain; doubtful from 0.1 mm/h.", "Rain falls."],
            "conditions": {"rain_mm_per_h": 2.0, "canopy_wet_mm": 0.2},
        }
        dry_reasons = set(WhyOff) - {WhyOff.RAIN, WhyOff.WET_CROP}
        for ago, why in enumerate(["", *sorted(dry_reasons)], start=1):
            start = NOW - ago * DAY
            evening = make_gathering(
                demonstration=demonstration, starts_at=start, ends_at=start + DAY / 12
            )
            make_call(gathering=evening, why_off=why, **says_rain)
        record = local_record(demonstration, NOW)
        assert (record.evenings, record.last_day) == (0, None)

    def test_tonights_call_is_known_before_the_evening_is_over(self):
        demonstration = make_demonstration()
        evening, later = (
            make_gathering(
                demonstration=demonstration, starts_at=start, ends_at=start + DAY / 12
            )
            for start in (NOW, NOW + DAY)
        )
        make_call(gathering=later, made_at=NOW)
        assert local_record(demonstration, NOW).last_day is None
        make_call(gathering=evening)
        record = local_record(demonstration, NOW)
        assert (record.last_day, record.last_was_dry) == (date(2026, 8, 12), True)
