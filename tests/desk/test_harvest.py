"""The plan of the harvest: its chance, what is proposed, and one press."""

from datetime import date, time, timedelta
from decimal import Decimal
from unittest import mock

import pytest
from django.core.exceptions import ValidationError
from django.test import SimpleTestCase, TestCase
from django.urls import reverse

from heritage.calc.harvest import Limit
from heritage.common import clock
from heritage.desk.harvest import words
from heritage.desk.harvest.selectors import (
    MOST_PROPOSED,
    chance_posted,
    harvest_page,
    kinds_of,
)
from heritage.desk.harvest.services import post_proposed
from heritage.desk.outlook.selectors import LOADS
from heritage.gatherings.models import Gathering
from heritage.growth.selectors import pulling_window
from heritage.lots.services import Amount, ensure_lot, move
from heritage.tally.selectors import field_progress
from tests.factories import (
    NOW,
    make_dam,
    make_demonstration,
    make_entry,
    make_gathering,
    make_observation,
    make_organiser,
    make_pattern,
    make_pattern_station,
    make_plot,
    make_reading,
    make_ret,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.tally.rows import make_work

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
TODAY = date(2026, 8, 12)


class Season(TestCase):
    """A field that flowered four weeks ago, with a dam and a pattern of either kind."""

    beets = 200

    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.organiser = make_organiser(demonstration=cls.demonstration)
        cls.plot = make_plot(
            demonstration=cls.demonstration,
            area_m2=Decimal(500),
            expected_beets=cls.beets,
        )
        cls.flowered = make_observation(
            plot=cls.plot, flower="start", seen_on=TODAY - 26 * DAY
        )
        cls.pulling = make_pattern(demonstration=cls.demonstration, title="By hand")
        make_pattern_station(pattern=cls.pulling, kind="pull", title="Pull", places=12)
        make_pattern_station(pattern=cls.pulling, kind="tie", title="Tie", places=4)
        cls.carting = make_pattern(
            demonstration=cls.demonstration, title="Carting", stage="carting"
        )
        make_pattern_station(pattern=cls.carting, kind="fork", title="Fork", places=4)
        cls.dam = make_dam(demonstration=cls.demonstration)

    def setUp(self):
        self.enterContext(mock.patch.object(clock, "now", return_value=NOW))

    def page(self):
        return harvest_page(self.demonstration, NOW)

    def post(self, days, stage="pulling", **fields):
        start = NOW + days * DAY
        times = {"starts_at": start, "ends_at": start + 2 * HOUR}
        return make_gathering(
            demonstration=self.demonstration, stage=stage, **(times | fields)
        )

    def url(self, name="harvest"):
        return reverse(f"desk:{name}", args=[self.demonstration.slug])

    def get(self):
        self.client.force_login(self.organiser.user)
        return self.client.get(self.url())

    def press(self, one, stage="pulling"):
        self.client.force_login(self.organiser.user)
        data = {"stage": stage, "evening": one.offered.key}
        return self.client.post(self.url("harvest_post"), data, follow=True)


@pytest.mark.any_database
class PlanTests(Season):
    def test_nothing_is_told_without_a_window_or_a_measured_field(self):
        self.flowered.delete()
        assert self.page() is None
        self.assertContains(self.get(), "Nobody can tell yet")

    def test_a_plot_that_is_pulled_no_longer_counts_in_the_window(self):
        """The plot beside it ripened four weeks before, and is done."""
        beside = make_plot(demonstration=self.demonstration, expected_beets=60)
        make_observation(plot=beside, flower="end", seen_on=TODAY - 54 * DAY)
        assert self.page().facts.window.best < TODAY - 28 * DAY
        evening = make_gathering(demonstration=self.demonstration, plot=beside)
        make_entry(gathering=evening, plot=beside, beets=60)
        assert self.page().facts.window.best > TODAY

    def test_an_empty_season_has_no_chance_and_is_proposed_evenings_and_carts(self):
        page = self.page()
        assert page.posted.under_water == 0
        assert page.planned.under_water > 0.3
        assert 0 < len(page.evenings) <= MOST_PROPOSED
        assert page.evenings[0].offered.day == page.facts.window.best
        assert page.evenings[0].pullers == round(12 * 0.6)
        gains = [one.after - one.before for one in page.evenings]
        assert all(gain >= 0 for gain in gains)
        assert page.carts[0].evenings
        assert page.slow.under_water <= page.planned.under_water
        assert page.planned.under_water <= page.quick.under_water

    def test_an_evening_that_is_posted_is_not_proposed_again(self):
        """Not even where it begins at another hour, or is a draft."""
        best = self.page().evenings[0].offered.day
        ahead = (best - TODAY).days
        self.post(ahead, starts_at=NOW + ahead * DAY - 8 * HOUR, status="draft",
                  ends_at=NOW + ahead * DAY - 7 * HOUR)  # fmt: skip
        assert best not in {one.offered.day for one in self.page().evenings}

    def test_evenings_enough_ask_for_no_more(self):
        for days in range(1, 11):
            evening = self.post(days)
            station = make_station(gathering=evening, places=40)
            for _ in range(20):
                make_sign_up(station=station)
        page = self.page()
        assert page.posted.pulled > 0.9
        assert page.evenings == ()
        assert page.posted.under_water == 0
        assert len(page.carts) >= 5
        self.assertContains(self.get(), "No cart is posted yet.")

    def test_a_cart_is_asked_for_the_day_after_unless_one_follows_within_four(self):
        self.post(2)
        self.post(3)
        self.post(8)
        self.post(11, stage="carting")
        page = self.page()
        asked = {one.day: one.evenings for one in page.carts}
        for cart, evenings in asked.items():
            assert all(0 <= (cart - evening).days <= 1 for evening in evenings)
        served = {day for evenings in asked.values() for day in evenings}
        assert {TODAY + 2 * DAY, TODAY + 3 * DAY} <= served
        ahead = {line.plan.day for line in page.lines}
        assert ahead - served == {
            day for day in ahead if TODAY + 7 * DAY <= day <= TODAY + 11 * DAY
        }

    def test_filling_the_dam_is_a_day_with_a_cart(self):
        self.post(4, stage="filling_the_dam")
        assert self.page().facts.cart_days == {TODAY + 4 * DAY}

    def test_the_pattern_by_hand_goes_before_the_machine(self):
        first = make_pattern(demonstration=self.demonstration, title="A machine")
        make_pattern_station(pattern=first, kind="drive", title="Drive")
        assert kinds_of(self.demonstration)[0].title == "By hand"

    def test_the_pattern_with_the_most_to_pull_goes_before_an_open_day(self):
        first = make_pattern(demonstration=self.demonstration, title="An open day")
        make_pattern_station(pattern=first, kind="pull", title="Pull", places=6)
        make_pattern_station(pattern=first, kind="talk", title="Talk", places=20)
        assert kinds_of(self.demonstration)[0].title == "By hand"

    def test_times_and_place_are_those_of_the_last_evening(self):
        self.post(-2, place="The far gate", starts_at=NOW - 2 * DAY)
        kind = kinds_of(self.demonstration)[0]
        assert kind.place == "The far gate"
        assert kind.starts == (NOW - 2 * DAY).astimezone(self.demonstration.zone).time()

    def test_without_a_pattern_the_last_evening_is_posted_again(self):
        self.pulling.delete()
        self.carting.delete()
        pulling, carting = kinds_of(self.demonstration)
        assert not pulling.can_post
        assert pulling.starts == time(18, 30)
        evening = self.post(-3, title="At the top field")
        make_station(gathering=evening, kind="pull", places=9)
        pulling, carting = kinds_of(self.demonstration)
        assert (pulling.title, pulling.pullers) == ("At the top field", 9)
        assert not carting.can_post
        assert carting.starts == pulling.starts

    def test_nobody_known_to_come_proposes_nothing(self):
        self.pulling.delete()
        page = self.page()
        assert page.evenings == ()
        assert page.wants_pattern
        self.assertContains(self.get(), "Take a pulling pattern into your list")

    def test_the_usual_number_goes_before_the_places_of_the_pattern(self):
        evening = self.post(-1)
        for _ in range(3):
            ann = make_volunteer(demonstration=self.demonstration)
            make_turnout(gathering=evening, volunteer=ann, left_at=None)
            make_entry(gathering=evening, volunteer=ann, plot=self.plot, beets=5)
        facts = self.page().facts
        assert facts.rates.usual_pullers == 3
        assert facts.hands == 5

    def test_what_is_pulled_and_not_in_a_dam_waits(self):
        ann = make_volunteer(demonstration=self.demonstration)
        entry = make_entry(
            gathering=self.post(-1), volunteer=ann, plot=self.plot, beets=15
        )
        lot = ensure_lot(entry)
        assert self.page().facts.waiting == 15
        move(
            lot=lot, source="stook", target="dam", amount=Amount(beets=6),
            at=NOW, by=self.organiser.user, now=NOW,
        )  # fmt: skip
        assert self.page().facts.waiting == 9

    def test_loads_that_were_counted_replace_our_judgement(self):
        assert self.page().facts.loads == LOADS
        for days, loads in ((-1, 3), (-2, 5)):
            make_work(
                gathering=self.post(days),
                volunteer=make_volunteer(demonstration=self.demonstration),
                kind="loads",
                amount=loads,
            )
        facts = self.page().facts
        assert (facts.loads.low, facts.loads.likely, facts.loads.high) == (3, 4, 5)
        assert facts.loads_counted == 2

    def test_a_dam_with_flax_in_it_has_no_room_until_nobody_knows_when(self):
        (room,) = self.page().rooms
        assert room.clean_on == TODAY
        assert 0 < room.beets.low < room.beets.likely < room.beets.high
        make_ret(dam=self.dam, began_at=NOW - DAY, beets=1)
        (room,) = self.page().rooms
        assert room.clean_on is None
        self.assertContains(
            self.get(), "Left out: we can't say yet when its water will be clean"
        )

    def test_a_dam_whose_ret_was_read_counts_again_a_week_after_its_likely_day(self):
        ret = make_ret(dam=self.dam, began_at=NOW - 3 * DAY, beets=1)
        for hours in (60, 30, 2):
            make_reading(ret=ret, at=NOW - hours * HOUR, temp_c=16)
        page = self.page()
        likely = page.facts.dams[0].ret.likely.date()
        assert page.rooms[0].clean_on == likely + 7 * DAY
        self.assertContains(self.get(), f"from {page.rooms[0].clean_on:%a}")

    def test_without_a_dam_only_the_pulling_is_reckoned(self):
        self.dam.delete()
        page = self.page()
        assert not page.has_dam
        assert page.carts == ()
        assert page.planned.under_water == page.planned.pulled > 0
        self.assertContains(self.get(), "No dam is set up")

    def test_a_window_that_is_over_says_so(self):
        self.flowered.seen_on = TODAY - 60 * DAY
        self.flowered.save()
        page = self.page()
        assert page.is_over
        assert (page.posted.pulled, page.evenings) == (0, ())
        self.assertContains(self.get(), "about 200 beets still stand.")


@pytest.mark.any_database
class LargeField(Season):
    beets = 700

    def test_a_dam_that_is_too_small_asks_for_more_room(self):
        page = self.page()
        assert page.planned.under_water < 0.1 < page.planned.pulled
        assert page.limit == Limit.ROOM
        assert page.helps == ()
        assert page.room_short == self.beets - page.rooms[0].beets.likely
        more = f"about {page.room_short} beets too many"
        self.assertContains(self.get(), more)
        self.assertContains(self.get(), "under water too, almost none")
        for _ in range(2):
            make_dam(demonstration=self.demonstration)
        assert self.page().planned.under_water > 0.3

    def test_what_would_help_comes_with_its_gain(self):
        for _ in range(4):
            make_dam(demonstration=self.demonstration)
        page = self.page()
        assert page.helps
        assert all(one.after > one.before for one in page.helps)
        gains = [one.after for one in page.helps]
        assert gains == sorted(gains, reverse=True)
        assert page.limit in set(Limit)

    def test_the_page_costs_the_same_however_full_the_season_is(self):
        def fill():
            for days in range(1, 4):
                make_sign_up(station=make_station(gathering=self.post(days)))
                past = self.post(-days)
                ann = make_volunteer(demonstration=self.demonstration)
                make_turnout(gathering=past, volunteer=ann)
                make_entry(gathering=past, volunteer=ann, plot=self.plot, beets=2)
                self.post(days + 1, stage="carting")
                make_pattern(demonstration=self.demonstration)
                make_dam(demonstration=self.demonstration)

        fill()
        with self.assertNumQueries(34):
            self.page()
        fill()
        with self.assertNumQueries(34):
            self.page()


@pytest.mark.any_database
class PressTests(Season):
    def test_one_press_posts_the_evening_from_the_pattern(self):
        one = self.page().evenings[0]
        answer = self.press(one)
        row = Gathering.objects.get(stage="pulling")
        self.assertRedirects(answer, self.url())
        self.assertContains(answer, "“By hand” is posted for")
        assert (row.title, row.is_posted) == ("By hand", True)
        assert (row.starts_at, row.ends_at) == (
            one.offered.starts_at, one.offered.ends_at
        )  # fmt: skip
        assert [(s.kind, s.places) for s in row.stations.in_order()] == [
            ("pull", 12), ("tie", 4)
        ]  # fmt: skip
        assert one.offered.day not in {e.offered.day for e in self.page().evenings}

    def test_a_second_press_posts_nothing_and_says_so(self):
        one = self.page().evenings[0]
        self.press(one)
        self.assertContains(
            self.press(one),
            "Nothing was posted: that evening is already there, or its times",
        )
        assert Gathering.objects.count() == 1

    def test_a_cart_is_posted_beside_the_pulling_of_that_evening(self):
        one = self.page().carts[0]
        self.press(one, "carting")
        row = Gathering.objects.get(stage="carting")
        assert (row.title, row.starts_at) == ("Carting", one.offered.starts_at)
        assert one.day in self.page().facts.cart_days

    def test_without_anything_to_post_from_it_says_so(self):
        one = self.page().evenings[0]
        self.pulling.delete()
        self.assertContains(self.press(one), "no pattern to post it from")

    def test_times_that_are_no_longer_those_shown_are_refused(self):
        one = self.page().evenings[0]
        with pytest.raises(ValidationError, match="its times have changed"):
            post_proposed(
                demonstration=self.demonstration,
                stage="pulling",
                day=one.offered.day,
                key=f"{one.offered.day}/1200-1300",
                now=NOW,
            )

    def test_nonsense_is_refused_in_words(self):
        self.client.force_login(self.organiser.user)
        for data in (
            {},
            {"stage": "pulling", "evening": "soon"},
            {"stage": "retting", "evening": "2026-08-14/1830-2045"},
        ):
            answer = self.client.post(self.url("harvest_post"), data, follow=True)
            self.assertContains(answer, "This page was out of date")
        assert not Gathering.objects.exists()

    def test_only_organisers_enter_and_post(self):
        volunteer = make_volunteer(demonstration=self.demonstration)
        self.client.force_login(volunteer.user)
        assert self.client.get(self.url()).status_code == 403
        assert self.client.post(self.url("harvest_post")).status_code == 403


@pytest.mark.any_database
class PageTests(Season):
    def test_it_says_the_chance_then_what_to_do_then_what_would_help(self):
        text = self.get().content.decode()
        order = [
            "almost no chance to pull the field",
            "Evenings to post",
            "When the cart is needed",
            "How sure is this?",
        ]
        assert [text.index(one) for one in order] == sorted(map(text.index, order))
        for said in ("Sunset", "Post this evening", "our own judgement", "placeholder"):
            assert said in text

    def test_one_button_is_the_main_one(self):
        assert self.get().content.decode().count('class="act"') == 1


@pytest.mark.any_database
class TodayTests(Season):
    def words(self):
        self.client.force_login(self.organiser.user)
        url = reverse("desk:today", args=[self.demonstration.slug])
        return self.client.get(url).content.decode()

    def test_a_chance_below_an_even_one_stands_on_today(self):
        said = self.words()
        assert "Look at the plan of the harvest" in said
        assert "pulled and under water in time: almost none." in said
        self.dam.delete()
        assert "The chance that the field is pulled in time: almost none." in (
            self.words()
        )

    def test_an_even_chance_is_no_matter_for_today(self):
        for days in range(1, 14):
            evening = self.post(days)
            station = make_station(gathering=evening, places=40)
            for _ in range(12):
                make_sign_up(station=station)
            self.post(days, stage="carting")
        assert self.page().posted.under_water > 0.5
        assert "Look at the plan of the harvest" not in self.words()

    def test_it_is_no_matter_long_before_the_window_or_after_it(self):
        for ago in (-20, 60):
            self.flowered.seen_on = TODAY - ago * DAY
            self.flowered.save()
            assert "Look at the plan of the harvest" not in self.words()

    def test_a_field_that_is_pulled_is_no_matter(self):
        make_entry(
            gathering=self.post(-1),
            volunteer=make_volunteer(demonstration=self.demonstration),
            plot=self.plot,
            beets=self.beets,
        )
        assert "Look at the plan of the harvest" not in self.words()

    def test_it_costs_the_same_however_full_the_season_is(self):
        def fill():
            for days in range(1, 4):
                make_sign_up(station=make_station(gathering=self.post(days)))
                make_observation(plot=self.plot)
                make_dam(demonstration=self.demonstration)

        def ask():
            here = self.demonstration
            progress, window = field_progress(here), pulling_window(here)
            with self.assertNumQueries(20):
                chance_posted(here, progress, (), window, NOW)

        fill()
        ask()
        fill()
        ask()


class WordsTests(SimpleTestCase):
    def test_a_chance_is_said_in_tenths_and_never_as_certain(self):
        said = [words.in_ten(one) for one in (0, 0.04, 0.06, 0.5, 0.94, 0.96, 1)]
        assert said == [
            "almost none", "almost none", "1 in 10", "5 in 10", "9 in 10",
            "almost certain", "almost certain",
        ]  # fmt: skip

    def test_a_change_says_what_it_was(self):
        assert words.risen(0.61, 0.79) == "8 in 10, up from 6 in 10"
        assert words.risen(0.61, 0.64) == "a little more than 6 in 10"
        assert words.risen(0.01, 0.02) == "a little better"
        assert words.risen(0.01, 0.3) == "3 in 10, up from almost none"
        assert words.risen(0.6, 0.98) == "almost certain, up from 6 in 10"

    def test_the_sentence_says_by_when(self):
        def say(chance, has_dam=True):
            day = date(2026, 8, 24)
            return words.chance_sentence(chance, day, has_dam=has_dam)

        assert say(0.62) == (
            "As posted, there are about 6 chances in 10 to pull the field while it's "
            "fit, by Monday 24 August, and get it under water in time."
        )
        assert say(0.1, has_dam=False) == (
            "As posted, there is about 1 chance in 10 to pull the field while it's "
            "fit, by Monday 24 August."
        )
        assert say(0).startswith("As posted, there's almost no chance to pull")
        assert say(1).startswith("As posted, you'll almost certainly pull")

    def test_past_its_days_it_says_what_stands_if_anything_does(self):
        day = date(2026, 8, 24)
        assert words.over_sentence(day, 1).endswith("about 1 beet still stands.")
        assert words.over_sentence(day, 0) == (
            "The field is likely pulled: by its estimate nothing is left."
        )

    def test_every_limit_has_its_words(self):
        assert set(words.LIMIT_WORDS) == set(Limit)
        assert (
            words.limit_words(Limit.ROOM, 0)
            == "There isn't enough room in the dam in time."
        )
