"""Work with hands over or at the water asks the water's age and briefing everywhere."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import SimpleTestCase

from heritage.gatherings import services
from heritage.gatherings.models import Gathering, Pattern, SignUp, StationKind
from heritage.gatherings.runs import services as runs_services
from heritage.people.models import AgeBand
from heritage.season.models import RootEnd, Stage
from tests.factories import (
    NOW,
    make_briefing,
    make_gathering,
    make_hazard,
    make_run,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase
from tests.gatherings.test_runs import TIMES, run_plan
from tests.gatherings.test_services_posting import details, plan
from tests.gatherings.test_views_writing import rows, typed


class KindTests(SimpleTestCase):
    def test_stones_and_treading_are_at_the_water_whatever_the_evening_is_called(self):
        for stage in Stage:
            assert StationKind.STONE.is_at_water(stage)
            assert StationKind.TREAD.is_at_water(stage)

    def test_at_the_dam_all_work_is_but_for_driving_and_talking(self):
        for stage in ("filling_the_dam", "retting", "lifting"):
            dry = {kind for kind in StationKind if not kind.is_at_water(stage)}
            assert dry == {"drive", "talk"}
        for kind in ("fork", "other", "steward"):
            assert not StationKind(kind).is_at_water("carting")


class WaterCase(EveningCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        here = {"demonstration": cls.demonstration}
        cls.dam = make_briefing(**here, title="At the dam")
        cls.dam.hazards.add(make_hazard(**here, works=["tread"]))
        cls.filling = make_gathering(
            **here, title="Filling", stage=Stage.FILLING_THE_DAM, lead=cls.liam
        )
        cls.young = make_volunteer(
            **here, name="Kit Orr", age_band=AgeBand.FROM_16, guardian=cls.liam
        )


class RootEndTests(WaterCase):
    """The practice of the place is said where beets are placed, and nowhere else."""

    def page(self, kind):
        make_station(gathering=self.filling, title="Work", kind=kind)
        self.client.force_login(self.liam.user)
        return self.client.get(self.filling.get_absolute_url()).content.decode()

    def test_the_station_says_which_end_goes_down_here(self):
        assert "Root end down." in self.page(StationKind.TREAD)

    def test_the_other_practice_is_said_in_the_same_way(self):
        self.demonstration.root_end = RootEnd.UP
        self.demonstration.save()
        assert "Root end up." in self.page(StationKind.TREAD)

    def test_no_other_station_is_told(self):
        assert "Root end" not in self.page(StationKind.FORK)


class MakingTests(WaterCase):
    """Each way to make a station, as the organiser goes it."""

    def refused(self, view, *args, stage="filling_the_dam", kind="fork", **more):
        """Send a row without a briefing, then with the wrong one, then the right."""
        sent = {"stage": stage} | more
        row = {"kind": kind, "title": "Hand down", "places": 4}
        page = self.send(view, *args, by=self.nora, **typed(**sent), **rows(row))
        self.assertContains(page, "Hand down is work at the water. Choose the briefing")
        row["briefing"] = self.briefing.pk
        page = self.send(view, *args, by=self.nora, **typed(**sent), **rows(row))
        self.assertContains(page, "names none of its dangers")
        row["briefing"] = self.dam.pk
        return self.send(view, *args, by=self.nora, **typed(**sent), **rows(row))

    def test_posting(self):
        before = Gathering.objects.count()
        self.refused("post")
        assert Gathering.objects.count() == before + 1

    def test_copying(self):
        before = Gathering.objects.count()
        self.refused("copy", self.filling.pk, kind="other", stage="lifting")
        assert Gathering.objects.count() == before + 1

    def test_editing(self):
        self.refused("edit", self.filling.pk, kind="lift_off")
        assert self.filling.stations.get().briefing == self.dam

    def test_an_evening_turned_into_one_at_the_dam(self):
        said = details(stage="lifting")
        make_station(gathering=self.filling, title="Stack")
        Gathering.objects.filter(pk=self.filling.pk).update(stage="drying")
        with pytest.raises(ValidationError, match="Stack is work at the water"):
            services.edit(gathering=self.filling, details=said, stations=None, now=NOW)

    def test_patterns(self):
        sent = {"title": "Filling", "stage": "filling_the_dam"}
        row = {"kind": "stone", "title": "Stones", "places": 4}
        page = self.send("add_pattern", by=self.nora, **sent, **rows(row))
        self.assertContains(page, "Stones is work at the water. Choose the briefing")
        row["briefing"] = self.dam.pk
        self.send("add_pattern", by=self.nora, **sent, **rows(row))
        assert Pattern.objects.get(title="Filling").stations.get().briefing == self.dam

    def test_runs(self):
        of = run_plan()
        said = {k: v for k, v in details(stage="retting").items() if k not in TIMES}
        with pytest.raises(ValidationError, match="Pull is work at the water"):
            runs_services.post_run(
                demonstration=self.demonstration,
                plan=of,
                details=said,
                stations=[plan()],
                days=of.days,
                by=self.nora.user,
                now=NOW,
            )

    def test_changing_a_run(self):
        run = make_run(demonstration=self.demonstration)
        Gathering.objects.filter(pk=self.filling.pk).update(run=run)
        with pytest.raises(ValidationError, match="Pull is work at the water"):
            runs_services.edit_run(run=run, changes={}, stations=[plan()], now=NOW)


class AskingTests(WaterCase):
    """Each way to a place, for stations made before they asked anything."""

    def test_only_adults_hand_down_or_stack_at_the_dam(self):
        for kind in ("fork", "other", "lift_off"):
            station = make_station(
                gathering=self.filling,
                kind=kind,
                least_age="from_16",
                briefing=self.dam,
            )
            page = self.send(
                "sign_up",
                self.filling.pk,
                by=self.liam,
                station=station.pk,
                volunteer=self.young.pk,
            )
            self.assertContains(page, "Only adults go into or work at the edge")
        assert not SignUp.objects.by(self.young).exists()

    def test_nobody_has_a_place_at_the_water_before_a_briefing_is_chosen(self):
        station = make_station(gathering=self.filling, title="Fork in", kind="fork")
        page = self.send(
            "sign_up",
            self.filling.pk,
            by=self.cat,
            station=station.pk,
            volunteer=self.cat.pk,
        )
        self.assertContains(page, "Fork in is work at the water and has no briefing")
        self.at(self.filling.starts_at + timedelta(minutes=5))
        make_turnout(
            gathering=self.filling,
            volunteer=self.cat,
            arrived_at=self.filling.starts_at,
        )
        page = self.send(
            "gate_station",
            self.filling.pk,
            self.cat.pk,
            by=self.liam,
            station=station.pk,
        )
        self.assertContains(page, "Fork in is work at the water and has no briefing")
        assert not SignUp.objects.by(self.cat).filter(station=station).exists()
