"""When the field will be done, and what would change it."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

from django.test import TestCase

from heritage.calc.pulling import Band, FinishForecast
from heritage.gatherings.models import RainAhead
from heritage.tally.forecast import selectors as words
from heritage.tally.forecast.selectors import (
    NINE_IN_TEN,
    WhatIf,
    dam_warning,
    forecast_page,
    in_percent,
)
from heritage.tally.pace.selectors import plans
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
from tests.tally.rows import make_call

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)


class ForecastTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.plot = make_plot(
            demonstration=cls.demonstration, area_m2=Decimal(1000), expected_beets=300
        )
        cls.evenings = [cls.post(days) for days in (1, 2, 5, 9)]

    @classmethod
    def post(cls, days, pullers=8, hours=2, **fields):
        start = NOW + days * DAY
        evening = make_gathering(
            demonstration=cls.demonstration,
            starts_at=start,
            ends_at=start + hours * HOUR,
            **fields,
        )
        station = make_station(gathering=evening, places=20)
        for _ in range(pullers):
            make_sign_up(station=station)
        return evening

    def plans(self):
        return plans(self.demonstration, NOW)

    def page(self, **asked):
        return forecast_page(
            self.demonstration, now=NOW, plans=self.plans(), asked=WhatIf(**asked)
        )

    def test_the_evenings_posted_are_reckoned_with_their_light_and_people(self):
        first = self.plans()[0]
        assert (first.day, first.signed_up) == (date(2026, 8, 13), 8)
        assert (first.posted_hours, first.has_machine) == (2.0, False)
        assert 0 < first.machine_hours <= first.lit_hours <= 2.0

    def test_only_pulling_that_goes_ahead_counts(self):
        make_gathering(demonstration=self.demonstration, stage="retting")
        make_gathering(demonstration=self.demonstration, status="called_off")
        make_gathering()
        assert len(self.plans()) == 4

    def test_two_gatherings_of_one_day_are_one_evening(self):
        self.post(1, pullers=3)
        assert len(self.plans()) == 4
        assert self.plans()[0].signed_up == 11

    def test_a_machine_is_there_when_somebody_drives(self):
        driver = make_station(gathering=self.evenings[0], kind="drive", places=1)
        assert not self.plans()[0].has_machine
        make_sign_up(station=driver)
        assert self.plans()[0].has_machine
        assert self.plans()[0].signed_up == 8

    def test_the_ends_enclose_what_is_likely(self):
        finish = self.page().before
        for day, likely in finish.likely.chance_by_day.items():
            slow, quick = (
                end.chance_by_day[day] for end in (finish.slow, finish.quick)
            )
            assert slow <= likely <= quick
        assert finish.slow.chance < finish.likely.chance < finish.quick.chance

    def test_each_evening_says_what_it_takes(self):
        need = self.page().before.needs[0]
        assert need.beets.low < need.beets.likely < need.beets.high
        assert need.bands == need.beets.high
        assert (need.expected, need.pullers, need.tiers) == (8, 5, 2)
        assert 1 <= need.loads_low <= need.loads_high
        assert " to " in need.range_words

    def test_more_pullers_the_machine_and_longer_evenings_help(self):
        before = self.page().before.likely.chance
        for asked in (
            {"more_pullers": 5},
            {"machine_days": frozenset({date(2026, 8, 14)})},
            {"longer_min": 60},
        ):
            page = self.page(**asked)
            assert page.before.likely.chance == before
            assert page.after.likely.chance > before, asked

    def test_a_lost_wet_week_costs_its_evenings(self):
        page = self.page(wet_from=date(2026, 8, 13))
        assert [need.plan.is_lost for need in page.shown.needs] == [
            True,
            True,
            True,
            False,
        ]
        assert page.after.likely.chance < page.before.likely.chance
        assert page.more_evenings > 0

    def test_no_evening_begins_before_now_or_before_the_light(self):
        tonight = self.post(0)
        plan = self.plans()[0]
        longer = WhatIf(longer_min=120).applied(plan)
        assert tonight.starts_at == NOW
        assert longer.lit_hours == plan.lit_hours

    def test_nothing_asked_is_no_question(self):
        assert self.page().after is None
        assert self.page().shown is self.page().before or not WhatIf().is_asked

    def test_the_usual_turnout_counts_where_few_have_signed_up_yet(self):
        past = make_gathering(
            demonstration=self.demonstration,
            starts_at=NOW - DAY,
            ends_at=NOW - DAY + 2 * HOUR,
        )
        for _ in range(12):
            person = make_volunteer(demonstration=self.demonstration)
            make_entry(gathering=past, volunteer=person, beets=10)
            make_turnout(gathering=past, volunteer=person)
        page = self.page()
        plan = page.plans[0]
        assert plan.pullers(page.rates) == 12
        assert plan.expected(page.rates, -1) == 8

    def test_light_that_ends_too_soon_is_said(self):
        self.post(12, hours=4)
        page = self.page()
        [plan] = page.dark
        assert 1 < plan.dark_hours < 2
        said = list(words.warnings(page))
        assert "The light ends before the posted time on one evening" in said[0]
        twice = replace(page, plans=[plan, plan])
        assert "on 2 evenings" in next(words.warnings(twice))

    def test_evenings_that_run_out_before_the_crop_are_said(self):
        page = self.page()
        assert page.more_evenings >= 1
        assert "run out before the crop" in list(words.warnings(page))[-1]

    def test_enough_evenings_ask_for_no_more(self):
        make_entry(gathering=self.evenings[0], plot=self.plot, beets=299)
        page = self.page()
        assert page.more_evenings == 0
        assert list(words.warnings(page)) == []
        assert words.finish_words(page.before).startswith(
            "An even chance that the field is done by"
        )
        assert page.before.likely.day_at(NINE_IN_TEN) is not None

    def test_what_is_pulled_already_is_done(self):
        make_entry(gathering=self.evenings[0], plot=self.plot, beets=300)
        page = self.page()
        assert page.before.may_be_done
        assert "it is done already" in words.finish_words(page.before)

    def test_a_dam_without_room_is_told_of(self):
        page = self.page()
        assert page.left == Band(300, 300, 300)
        full = dam_warning(page, Band(200, 250, 280))
        assert (full.is_likely, full.over) == (True, 50)
        perhaps = dam_warning(page, Band(290, 400, 500))
        assert (perhaps.is_likely, perhaps.over) == (False, 0)
        assert dam_warning(page, Band(300, 400, 500)) is None

    def test_one_sentence_says_the_likely_day(self):
        make_entry(gathering=self.evenings[0], plot=self.plot, beets=290)
        assert words.likely_words(self.page()) == "Likely done by Thursday 13 August."

    def test_too_few_evenings_counted_are_said_and_no_day_is_made_up(self):
        """Between 0 % and 100 % says nothing, so it is not the sentence."""
        self.plot.expected_beets = None
        self.plot.save()
        for days in range(11, 40):
            self.post(days)
        page = self.page()
        assert page.before.slow.chance < 0.1
        assert page.before.quick.chance > 0.9
        said = words.likely_words(page)
        assert said.startswith("We can't say yet. Count the beets")

    def test_a_wide_range_from_counted_evenings_says_its_day(self):
        wide = replace(
            self.page().before,
            slow=FinishForecast({}, 0.0, 4.0),
            quick=FinishForecast({}, 1.0, 1.0),
        )
        page = replace(self.page(), before=wide)
        said = words.likely_words(page)
        assert said.startswith(
            "We can't say yet: too few evenings are counted, 0 so far."
        )
        hand = replace(page.rates.hand, evenings=3)
        basis = replace(page.basis, rates=replace(page.rates, hand=hand))
        page = replace(page, basis=basis)
        assert "Too few" not in words.likely_words(page)

    def test_without_evenings_there_is_nothing_to_reckon_from(self):
        page = forecast_page(make_demonstration(), now=NOW, plans=[], asked=WhatIf())
        assert words.finish_words(page.before).startswith("No pulling evening")
        assert (page.more_evenings, page.rates.hand.band.likely) == (0, 0)

    def test_the_weather_says_what_it_rests_on(self):
        assert "placeholders, without a source" in words.weather_words(self.page())
        past = make_gathering(
            demonstration=self.demonstration,
            starts_at=NOW - DAY,
            ends_at=NOW - DAY + HOUR,
        )
        make_call(gathering=past)
        assert "From 1 evenings with a call (1 dry, 0 off for rain)" in (
            words.weather_words(self.page())
        )
        assert "between" in words.chance_words(self.page().before)

    def rain(self, by_day, made_at=NOW - HOUR, hours=24):
        """Keep a forecast: so many millimetres in every hour of each day from today."""
        midnight = NOW.replace(hour=0, minute=0, second=0, microsecond=0)
        RainAhead.objects.update_or_create(
            demonstration=self.demonstration,
            defaults={
                "made_at": made_at,
                "read_at": NOW,
                "hours": {
                    (midnight + days * DAY + hour * HOUR).isoformat(): rain
                    for days, rain in enumerate(by_day)
                    for hour in range(hours)
                },
            },
        )

    def chances(self):
        """Return how likely each evening is to be dry: the chain is told as nothing."""
        return [plan.dry_chance(0) for plan in self.page().plans]

    def test_tonights_call_counts_as_known(self):
        """By the chain alone tonight would be dry as often as days are, 0.53."""
        tonight = self.post(0)
        before = self.page().before.likely.chance_by_day
        assert self.chances()[0] is None
        make_call(gathering=tonight, made_at=NOW)
        page = self.page()
        assert page.plans[0].dry_chance(-1) == page.plans[0].dry_chance(1) == 1
        for day, chance in page.before.likely.chance_by_day.items():
            assert chance >= before[day]
        assert page.before.likely.chance > before[max(before)]

    def test_tonight_called_off_wet_makes_tomorrow_less_likely(self):
        tonight = self.post(0)
        tonight.status = "called_off"
        tonight.save()
        call = make_call(gathering=tonight, decision="off", why_off="wind", made_at=NOW)
        windy = self.page().before.likely.chance
        call.why_off = "rain"
        call.save()
        assert self.page().before.likely.chance < windy

    def test_a_forecasts_rain_feeds_the_next_days_and_the_chain_takes_over(self):
        assert self.chances() == [None] * 4
        self.rain([0.0, 0.0, 2.0])
        assert self.chances() == [0.9, 0.1, None, None]
        dry = self.page().before.likely.chance
        self.rain([0.0, 2.0, 0.2])
        assert self.chances() == [0.1, 0.5, None, None]
        assert self.page().before.likely.chance < dry

    def test_a_day_without_a_gathering_hands_its_weather_on(self):
        """Of three days ahead only the third has an evening; the second turns wet."""
        for row in self.evenings[:2]:
            row.status = "called_off"
            row.save()
        self.rain([0.0, 0.0, 0.0, 0.0, 0.0])
        dry = self.page().before.likely.chance
        self.rain([0.0, 0.0, 0.0, 0.0, 3.0])
        assert self.page().before.likely.chance < dry

    def test_a_call_outweighs_a_forecast_and_an_old_forecast_says_nothing(self):
        tonight = self.post(0)
        self.rain([5.0])
        assert self.chances()[0] == 0.1
        make_call(gathering=tonight, made_at=NOW)
        assert self.chances()[0] == 1
        self.rain([0.0, 0.0, 0.0], made_at=NOW - 25 * HOUR)
        assert self.chances()[1:] == [None] * 4

    def test_hours_the_forecast_lacks_are_not_guessed(self):
        self.rain([0.0, 0.0], hours=19)
        assert self.chances() == [None] * 4

    def test_a_forecast_costs_eleven_queries_at_any_size(self):
        for days in (12, 13, 14):
            self.post(days)
        with self.assertNumQueries(11):
            page = self.page(more_pullers=2)
        assert len(page.plans) == 7

    def test_a_large_field_is_carried_in_lots_and_comes_out_alike(self):
        few = self.page().before.likely.chance
        self.plot.expected_beets = 30_000
        self.plot.save()
        many = self.page().before.likely.chance
        assert 0.1 < few < 0.9
        assert abs(few - many) < 0.03


def test_what_is_not_certain_never_looks_so():
    assert [in_percent(p) for p in (0, 0.001, 0.5, 0.999, 1)] == [
        "0 %",
        "under 1 %",
        "50 %",
        "over 99 %",
        "100 %",
    ]
