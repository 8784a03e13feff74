"""The organiser's own kinds of gathering."""

import json
from importlib.resources import files

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.test import SimpleTestCase

from heritage.calc import young_people
from heritage.gatherings import selectors, services
from heritage.gatherings.models import Gathering, Pattern, StationKind
from heritage.people.models import AgeBand
from heritage.season.models import Stage
from tests.factories import (
    NOW,
    make_briefing,
    make_competence,
    make_demonstration,
    make_pattern,
    make_pattern_station,
)
from tests.gatherings.evening import EveningCase
from tests.gatherings.test_services_posting import plan
from tests.gatherings.test_views_writing import rows, typed


def starting_rows(name):
    return json.loads(files("heritage.briefings").joinpath(name).read_text("utf-8"))


class StartingTests(SimpleTestCase):
    def test_each_is_whole_and_within_the_rules_on_ages(self):
        for one in selectors.starting_patterns():
            assert one.stage in Stage.values
            assert len(one.stations) == len({row["title"] for row in one.stations})
            for row in one.stations:
                where = (one.title, row["title"])
                assert row.get("fewest", 0) <= row["places"], where
                years = AgeBand(row["least_age"]).least_age
                for place in young_people.JURISDICTIONS:
                    rule = young_people.least_age(place, row["kind"])
                    assert years >= rule.least_age, where

    def test_carting_driving_scutching_and_all_work_at_the_water_ask_a_briefing(self):
        known = {row["title"]: row for row in starting_rows("starting_briefings.json")}
        met = {row["title"]: row for row in starting_rows("starting_hazards.json")}
        for one in selectors.starting_patterns():
            for row in one.stations:
                where, kind = (one.title, row["title"]), StationKind(row["kind"])
                if kind == "drive" or one.stage in ("carting", "scutching"):
                    named = known[row["briefing"]]["hazards"]
                    danger = "Flax dust" if one.stage == "scutching" else "Tractor and"
                    assert any(title.startswith(danger) for title in named), where
                if kind.is_at_water(one.stage):
                    assert row["least_age"] == "adult", where
                    named = known[row["briefing"]]["hazards"]
                    assert any("tread" in met[title]["works"] for title in named), where

    def test_the_machine_has_its_driver_its_feeders_and_its_steward(self):
        (one,) = [row for row in selectors.starting_patterns() if "machine" in row.note
                  or row.title == "Pulling with the machine"]  # fmt: skip
        kinds = {row["kind"] for row in one.stations}
        assert kinds == {"drive", "feed", "lift_off", "tie", "steward"}


class PatternCase(EveningCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.pattern = make_pattern(
            demonstration=cls.demonstration, title="Hand pulling", bring="Gloves"
        )
        make_pattern_station(pattern=cls.pattern, title="Pull", places=12, fewest=4)
        make_pattern_station(pattern=cls.pattern, title="Tie", kind=StationKind.TIE)


class KeepTests(PatternCase):
    def keep(self, *stations, pattern=None, title="Hand pulling again"):
        return services.keep_pattern(
            pattern=pattern or Pattern(demonstration=self.demonstration),
            values={"title": title, "stage": "pulling", "bring": "", "note": ""},
            stations=stations or [plan(fewest=2)],
        )

    def test_it_is_kept_with_its_stations(self):
        (station,) = self.keep().stations.all()
        assert (station.title, station.places, station.fewest) == ("Pull", 3, 2)

    def test_changed_it_has_the_new_stations_and_no_others(self):
        changed = self.keep(plan(title="Fork", kind="fork"), pattern=self.pattern)
        assert changed.pk == self.pattern.pk
        assert [row.title for row in changed.stations.all()] == ["Fork"]

    def test_a_title_stands_once(self):
        with pytest.raises(ValidationError, match="already a pattern"):
            self.keep(title="Hand pulling")

    def test_no_station_and_strange_stations_are_refused(self):
        with pytest.raises(ValidationError, match="at least one station"):
            services.keep_pattern(
                pattern=Pattern(demonstration=self.demonstration),
                values={"title": "A", "stage": "pulling", "bring": "", "note": ""},
                stations=[],
            )
        for strange, words in (
            ({"briefing": make_briefing()}, "Choose a briefing from the list"),
            ({"competence": make_competence()}, "Choose a skill from the list"),
            ({"fewest": 9}, "cannot be more than the places"),
        ):
            with pytest.raises(ValidationError, match=words):
                self.keep(plan(**strange))
        assert Pattern.objects.count() == 1

    def test_the_database_refuses_more_fewest_than_places(self):
        with pytest.raises(IntegrityError, match="pattern_station_fewest"):
            make_pattern_station(pattern=self.pattern, places=2, fewest=3)


class StartTests(EveningCase):
    def start(self, *titles):
        return services.start_with(
            demonstration=self.demonstration, titles=titles, by=self.nora.user, now=NOW
        )

    def test_what_is_ticked_is_added_and_nothing_twice(self):
        assert self.start("Carting", "Treading") == 2
        assert self.start("Carting", "Treading") == 0
        assert Pattern.objects.of(self.demonstration).count() == 2

    def test_all_of_them_can_be_kept(self):
        every = [one.title for one in selectors.starting_patterns()]
        assert self.start(*every) == len(every) == 10

    def test_briefings_and_competences_are_asked_where_they_are_there(self):
        able = make_competence(
            demonstration=self.demonstration, title="drives a tractor"
        )
        self.start("Pulling with the machine", "Pulling by hand")
        pattern = Pattern.objects.get(title="Pulling with the machine")
        drive = pattern.stations.get(kind="drive")
        # It had none before: a briefing that is missing is composed, to be published.
        assert (drive.competence, drive.briefing.title) == (able, pattern.title)
        assert not drive.briefing.versions.exists()
        pull = Pattern.objects.get(title="Pulling by hand").stations.get(kind="pull")
        assert pull.briefing == self.briefing


class PageTests(PatternCase):
    def test_the_list_costs_two_queries_however_long(self):
        for size in (1, 8):
            with self.assertNumQueries(2):
                page = selectors.patterns_page(self.demonstration)
                assert len(page.patterns) == size
            for number in range(7):
                pattern = make_pattern(
                    demonstration=self.demonstration, title=f"Kind {number}{size}"
                )
                make_pattern_station(pattern=pattern)

    def test_the_list_says_what_each_needs_and_offers_the_rest(self):
        make_pattern(demonstration=self.demonstration, title="carting")
        response = self.page("patterns", by=self.nora)
        self.assertContains(response, "12, at least 4")
        self.assertContains(response, "common practice without a source")
        offered = {one.title for one in response.context["page"].starting}
        assert "Carting" not in offered
        assert "Treading" in offered

    def test_ticked_ones_come_onto_the_list(self):
        response = self.send("start_patterns", by=self.nora, title=["Treading"])
        self.assertContains(response, "1 pattern is added.")

    def test_posting_begins_from_a_pattern(self):
        page = self.page("post", by=self.nora, data={"pattern": self.pattern.pk})
        assert page.context["form"]["title"].value() == "Hand pulling"
        found = [row["title"].value() for row in page.context["rows"]]
        assert found == ["Pull", "Tie"]
        assert page.context["rows"].forms[0]["fewest"].value() == 4

    def test_what_is_typed_wins_over_the_pattern(self):
        self.be(self.nora)
        data = typed() | rows({"title": "Pullers"})
        self.client.post(f"{self.url('post')}?pattern={self.pattern.pk}", data)
        made = Gathering.objects.get(title="Pulling by the burn")
        assert made.stations.get().title == "Pullers"

    def test_a_strangers_pattern_or_gathering_is_not_there(self):
        theirs = make_pattern(demonstration=make_demonstration())
        for view, data in (
            ("post", {"pattern": theirs.pk}),
            ("post", {"pattern": "x"}),
            ("add_pattern", {"pattern": theirs.pk}),
            ("add_pattern", {"gathering": "x"}),
        ):
            assert self.page(view, by=self.nora, data=data).status_code == 404

    def test_a_gathering_is_kept_as_a_pattern(self):
        page = self.page(
            "add_pattern", by=self.nora, data={"gathering": self.gathering.pk}
        )
        assert page.context["form"]["bring"].value() == "Gloves"
        assert [row["title"].value() for row in page.context["rows"]] == ["Pull", "Tie"]
        data = {"title": "By the lane", "stage": "pulling"} | rows({}, {"title": "T"})
        self.assertContains(self.send("add_pattern", by=self.nora, **data), "saved")
        assert Pattern.objects.get(title="By the lane").stations.count() == 2

    def test_a_copy_begins_like_the_other(self):
        data = {"pattern": self.pattern.pk}
        page = self.page("add_pattern", by=self.nora, data=data)
        assert page.context["form"]["title"].value() == "Hand pulling"

    def test_an_empty_one_has_rows_to_fill(self):
        page = self.page("add_pattern", by=self.nora)
        assert len(page.context["rows"].forms) == 3

    def edit(self, *stations, **changes):
        data = {"title": "Hand pulling", "stage": "pulling"} | rows(*stations) | changes
        return self.send("edit_pattern", self.pattern.pk, by=self.nora, **data)

    def test_a_change_is_kept(self):
        page = self.page("edit_pattern", self.pattern.pk, by=self.nora)
        self.assertContains(page, 'value="Hand pulling"')
        self.edit({"title": "Pull", "fewest": "1"})
        assert self.pattern.stations.get().fewest == 1

    def test_bad_input_names_its_field_and_is_kept(self):
        response = self.edit({"title": "Pull", "fewest": "9"}, title="")
        assert "title" in response.context["form"].errors
        assert "fewest" in response.context["rows"].forms[0].errors
        make_pattern(demonstration=self.demonstration, title="Other")
        response = self.edit({"title": "Pullers"}, title="Other")
        self.assertContains(response, "There is already a pattern with that name")
        self.assertContains(response, 'value="Pullers"')

    def test_a_row_more_keeps_what_was_typed(self):
        response = self.edit({"title": "Pullers"}, add="1", title="Half")
        assert len(response.context["rows"].forms) == 2
        self.assertContains(response, 'value="Half"')

    def test_deleted_it_is_off_the_list(self):
        response = self.send("delete_pattern", self.pattern.pk, by=self.nora)
        self.assertContains(response, "is removed")
        assert not Pattern.objects.exists()
