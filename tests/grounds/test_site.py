"""How many the ground may hold, and who stands where."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.test import TestCase
from django.urls import reverse

from heritage.common.rows import remove_record
from heritage.grounds import selectors, services
from heritage.grounds.models import CrowdPlan, Exit, Ground, StewardPost
from heritage.grounds.sheets import steward_sheet
from heritage.people.models import AgeBand
from tests.briefings.test_sheets import text_of
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_crowd_plan,
    make_dam,
    make_demonstration,
    make_emergency_plan,
    make_exit,
    make_machine,
    make_organiser,
    make_steward_post,
    make_volunteer,
)


class SiteCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place)
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush")

    def url(self, view, *args):
        return reverse(f"grounds:{view}", args=[self.place.slug, *args])

    def exits(self, *widths, ground=Ground.LEVEL):
        for width in widths:
            make_exit(demonstration=self.place, width_m=Decimal(width), ground=ground)

    def holding(self, **plan):
        make_crowd_plan(demonstration=self.place, **plan)
        return selectors.site_page(self.place).holding


class PublishedTests(SiteCase):
    """Councils' own figures, end to end; the largest exit is always left out."""

    def test_hastings_five_metres_in_the_open_in_five_minutes(self):
        self.exits("5", "5", ground=Ground.OPEN_AIR)
        holding = self.holding(area_m2=10_000, minutes=5)
        assert holding.people == holding.by_exits == 2725

    def test_dover_a_metre_and_a_half_in_eight_minutes(self):
        """Dover rounds the 984 to "up to 1,000"."""
        self.exits("1.5", "1.5")
        assert self.holding(area_m2=10_000, minutes=8).people == 984

    def test_two_to_a_square_metre(self):
        """Stockton's own page prints 4,600 for this, which is four to a metre."""
        self.exits("20", "20")
        holding = self.holding(area_m2=1150)
        assert holding.people == holding.by_area == 2300


class HoldingTests(SiteCase):
    def test_the_way_out_that_passes_most_is_left_out_not_the_widest(self):
        self.exits("3", ground=Ground.STEPPED)
        self.exits("2.5", ground=Ground.OPEN_AIR)
        make_crowd_plan(demonstration=self.place, minutes=5)
        lines = selectors.site_page(self.place).exits
        left_out = {line.way.ground: line.is_left_out for line in lines}
        assert left_out == {Ground.STEPPED: False, Ground.OPEN_AIR: True}
        assert {line.rate for line in lines} == {66, 109}

    def test_one_way_out_is_no_number(self):
        self.exits("1")
        holding = self.holding()
        assert holding.people == 0
        assert len(holding.warnings) == 3

    def test_no_way_out_at_all(self):
        assert self.holding().people == 0

    def test_what_is_taken_is_taken_off(self):
        self.exits("9", "9")
        assert self.holding(area_m2=100, taken_m2=40).by_area == 120

    def test_without_a_plan_there_is_no_sum(self):
        self.exits("3", "3")
        page = selectors.site_page(self.place)
        assert page.holding is None
        assert page.exits[0].people == 1230

    def test_the_page_costs_two_queries(self):
        make_crowd_plan(demonstration=self.place)
        for _each in range(2):
            self.exits("2", "3")
            with self.assertNumQueries(2):
                selectors.site_page(self.place)

    def test_the_database_keeps_its_promises(self):
        with pytest.raises(IntegrityError, match="exit_has_a_width"):
            make_exit(demonstration=self.place, width_m=0)

    def test_and_leaves_ground_to_stand_on(self):
        with pytest.raises(IntegrityError, match="crowd_plan_leaves_ground"):
            make_crowd_plan(demonstration=self.place, area_m2=10, taken_m2=10)

    def test_and_names_a_way_out_once(self):
        make_exit(demonstration=self.place, name="Gate")
        with pytest.raises(IntegrityError):
            make_exit(demonstration=self.place, name="Gate")


class SitePageTests(SiteCase):
    def setUp(self):
        self.client.force_login(self.nora.user)

    def test_the_ground_and_its_ways_out_by_form(self):
        self.client.post(
            self.url("edit_crowd_plan"),
            {"area_m2": "1150", "taken_m2": "0", "minutes": "5"},
        )
        way = {"name": "Field gate", "width_m": "20", "ground": "level"}
        self.client.post(self.url("add_exit"), way)
        self.client.post(self.url("add_exit"), way | {"name": "Lane"})
        response = self.client.get(self.url("site"))
        self.assertContains(response, "<strong>2300</strong> people at once")
        self.assertContains(response, "Discuss the figure with the landowner")
        self.assertContains(response, "the Green Guide")
        pk = Exit.objects.get(name="Lane").pk
        self.client.post(self.url("edit_exit", pk), way | {"width_m": "1.2"})
        assert Exit.objects.get(pk=pk).name == "Lane"
        self.client.post(
            self.url("edit_exit", pk), way | {"name": "Lane", "width_m": "1.2"}
        )
        response = self.client.get(self.url("site"))
        self.assertContains(response, "narrower than 1.5 m")
        self.client.post(self.url("edit_exit", pk), {"away": "1"})
        response = self.client.get(self.url("site"))
        self.assertContains(response, "two exits or more")

    def test_bad_figures_are_named_and_kept(self):
        typed = {"area_m2": "10", "taken_m2": "10", "minutes": "5"}
        response = self.client.post(self.url("edit_crowd_plan"), typed)
        self.assertContains(response, "leaves visitors no ground")
        typed["minutes"] = "60"
        response = self.client.post(self.url("edit_crowd_plan"), typed)
        assert "minutes" in response.context["form"].errors
        assert not CrowdPlan.objects.exists()
        make_exit(demonstration=self.place, name="Gate")
        way = {"name": "Gate", "width_m": "2", "ground": "level"}
        response = self.client.post(self.url("add_exit"), way)
        self.assertContains(response, "There is already a way out with that name")
        response = self.client.post(
            self.url("add_exit"), {"name": "Lane", "width_m": "0", "ground": "level"}
        )
        self.assertContains(response, "a width above 0")

    def test_volunteers_read_and_do_not_write(self):
        self.client.force_login(self.ann.user)
        self.assertContains(self.client.get(self.url("site")), "measured yet")
        self.assertContains(self.client.get(self.url("stewards")), "No posts yet")
        for view in ("edit_crowd_plan", "add_exit", "add_post", "suggest_posts"):
            assert self.client.post(self.url(view)).status_code == 403


class StewardTests(SiteCase):
    def keep(self, post=None, **said):
        values = {"duty": "dam", "place": "North edge"} | said
        post = post or StewardPost(demonstration=self.place)
        return services.keep_post(post=post, values=values, now=NOW)

    def test_a_post_is_kept_by_an_adult(self):
        post = self.keep(volunteer=self.ann)
        assert self.keep(post, volunteer=None).volunteer is None
        remove_record(row=post)
        assert not StewardPost.objects.exists()

    def test_a_child_is_refused_with_the_reason(self):
        child = make_volunteer(
            demonstration=self.place,
            user=None,
            age_band=AgeBand.FROM_16,
            guardian=self.ann,
        )
        with pytest.raises(ValidationError, match="18 or older"):
            self.keep(volunteer=child)
        grown = make_volunteer(demonstration=self.place, born_on=date(2008, 9, 1))
        with pytest.raises(ValidationError, match="18 or older"):
            self.keep(volunteer=grown)

    def test_the_database_knows_the_duties(self):
        with pytest.raises(IntegrityError, match="steward_post_duty_known"):
            make_steward_post(demonstration=self.place, duty="sleep")

    def test_posts_are_suggested_once_from_what_stands_there(self):
        make_exit(demonstration=self.place, name="Field gate")
        make_machine(demonstration=self.place, name="Belt puller")
        make_dam(demonstration=self.place, name="Burn dam")
        make_emergency_plan(demonstration=self.place, lost_child="The tea table")
        added = services.suggest_posts(demonstration=self.place)
        assert {(post.duty, post.place) for post in added} >= {
            ("gate", "Field gate"),
            ("machine", "Belt puller"),
            ("dam", "Burn dam"),
            ("child", "The tea table"),
        }
        assert len(added) == 8
        assert services.suggest_posts(demonstration=self.place) == []

    def test_bare_ground_asks_for_little(self):
        added = services.suggest_posts(demonstration=self.place)
        assert [post.duty for post in added] == ["fire", "child", "floater", "relief"]

    def test_posts_reliefs_and_gaps_are_counted(self):
        briefing = make_briefing(demonstration=self.place)
        version = make_briefing_version(briefing=briefing)
        self.keep(volunteer=self.ann, briefing=briefing)
        self.keep(duty="gate", volunteer=self.ann)
        self.keep(duty="relief")
        page = selectors.steward_page(self.place)
        assert (page.posts, page.reliefs, page.gaps, page.people) == (2, 1, 1, 1)
        by_duty = {line.post.duty: line for line in page.lines}
        assert by_duty["dam"].is_to_hear
        assert by_duty["dam"].is_twice
        assert not by_duty["gate"].is_to_hear
        assert not by_duty["relief"].is_twice
        make_acknowledgement(version=version, volunteer=self.ann)
        lines = selectors.steward_page(self.place).lines
        assert [line.is_briefed for line in lines].count(True) == 1

    def test_pages_cost_the_same_however_many_posts(self):
        for _each in range(2):
            briefing = make_briefing(demonstration=self.place)
            self.keep(volunteer=self.ann, briefing=briefing)
            self.keep(volunteer=make_volunteer(demonstration=self.place))
            with self.assertNumQueries(2):
                selectors.steward_page(self.place)
            with self.assertNumQueries(4):
                selectors.steward_sheet(self.place, NOW.date())

    def test_by_form(self):
        self.client.force_login(self.nora.user)
        self.client.post(self.url("suggest_posts"))
        said = {"duty": "dam", "place": "North edge", "volunteer": self.ann.name}
        self.client.post(self.url("add_post"), said)
        response = self.client.get(self.url("stewards"))
        self.assertContains(response, "Ann Rush")
        self.assertContains(response, "nobody yet")
        self.assertContains(response, "No law says how many")
        child = make_volunteer(
            demonstration=self.place,
            user=None,
            age_band=AgeBand.FROM_13,
            guardian=self.ann,
        )
        pk = StewardPost.objects.get(duty="dam").pk
        there = self.url("edit_post", pk)
        response = self.client.post(there, said | {"volunteer": child.name})
        assert "volunteer" in response.context["form"].errors
        self.assertContains(response, "North edge")
        self.client.post(there, said | {"place": "South edge"})
        assert StewardPost.objects.get(pk=pk).place == "South edge"
        self.client.post(there, {"away": "1"})
        assert not StewardPost.objects.contains(StewardPost(pk=pk))

    def test_the_sheet(self):
        make_emergency_plan(demonstration=self.place, signal="Three blasts")
        empty = steward_sheet(
            selectors.steward_sheet(self.place, NOW.date()), large_print=False
        )
        assert "Three blasts" in text_of(empty)
        self.keep(volunteer=self.ann, task="Throw-line at hand")
        for large in (False, True):
            sheet = selectors.steward_sheet(self.place, NOW.date())
            text = text_of(steward_sheet(sheet, large_print=large))
            for words in (
                "Ann Rush",
                "Throw-line at hand",
                "No law says how many",
                "local codes",
            ):
                assert words in text
        self.client.force_login(self.ann.user)
        response = self.client.get(self.url("steward_sheet"))
        assert response["Content-Type"] == "application/pdf"
