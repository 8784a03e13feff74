"""The demonstration for show: made whole through the services, safe to make again."""

import json
import os
import tempfile
from datetime import date, datetime
from io import StringIO
from pathlib import Path

import ephem
import pytest
from django.core import mail
from django.core.management import call_command
from django.db.models import Min
from django.test import SimpleTestCase, TestCase

import manage
from heritage.briefings.models import Acknowledgement, EmergencyPlan
from heritage.calc.dam import capacity
from heritage.dam.models import Check, Dam, Reading, Ret
from heritage.demo.ground import FIXTURES
from heritage.demo.season import read_moments, read_scenario
from heritage.desk.harvest.selectors import harvest_page
from heritage.gatherings.asked.selectors import known_of, refusal
from heritage.gatherings.ground.selectors import light_of, light_warnings
from heritage.gatherings.models import (
    Call,
    Decision,
    Gathering,
    GatheringStatus,
    Pattern,
    Run,
    SignUp,
    SignUpStatus,
    Turnout,
    WhyOff,
)
from heritage.gatherings.rearranging.selectors import suggestion
from heritage.grounds.models import Exit, StewardPost
from heritage.incidents.models import Incident
from heritage.lots.models import Move, Place
from heritage.lots.selectors import lots_at
from heritage.machines.models import MachineCheck
from heritage.people.models import AgeBand, HealthNote, Letter, Skill, User, Volunteer
from heritage.pictures.models import Picture
from heritage.season.models import Demonstration, Plot, StageRecord
from heritage.tally.models import Entry
from tests.opening import unopened


@pytest.mark.any_database
class DemoTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.said = cls.show()
        cls.now = datetime.fromisoformat(read_scenario()["now"])

    @staticmethod
    def show():
        said = StringIO()
        call_command("demo", "--no-serve", stdout=said)
        return said.getvalue()

    def test_a_season_stands(self):
        assert Volunteer.objects.count() >= 38
        assert Gathering.objects.count() >= 12
        assert Gathering.objects.filter(status=GatheringStatus.CALLED_OFF).count() == 1
        assert Entry.objects.beets() > 300
        assert Entry.objects.filter(corrects__isnull=False).exists()
        assert Ret.objects.get().readings.count() == 12
        assert Picture.objects.published().count() == 14

    def test_every_figure_of_every_page_opens(self):
        """One tap shows its inputs, its rule, its source and how sure it is."""
        self.client.force_login(User.objects.get(email__startswith="organiser@"))
        home = f"/at/{Demonstration.objects.get().slug}/today/"
        with self.settings(CLOCK_STARTS_AT=self.now.isoformat()):
            assert unopened(self.client, home) == []

    def test_the_ret_is_trodden_and_one_turn_has_lost_somebody(self):
        turns = Ret.objects.get().rota.turns
        assert turns.filter(trodden_at__isnull=False).count() == 3
        lost = turns.get(day="2026-08-13", half="evening")
        assert [row.watches for row in lost.treaders.on()] == [False, False]
        assert not Letter.objects.queued().exists()

    def test_two_tread_and_one_who_heard_the_briefing_watches(self):
        plan = Ret.objects.get().rota
        for turn in plan.turns.filter(trodden_at__isnull=False):
            rows = list(turn.treaders.who_came())
            assert sorted(row.watches for row in rows) == [False, False, True]
            for row in rows:
                heard = row.volunteer.acknowledgements
                assert heard.filter(version__briefing=plan.briefing).exists()

    def test_why_an_evening_was_off_is_known(self):
        (call,) = Call.objects.filter(decision=Decision.OFF)
        assert call.why_off == WhyOff.RAIN

    def test_the_ground_is_laid_out_and_a_missing_guard_stops_a_machine(self):
        assert EmergencyPlan.objects.get().meeting_point
        assert Exit.objects.count() == 3
        checks = MachineCheck.objects.order_by("may_run")
        assert [bool(one.missing) for one in checks] == [True, False]
        assert Skill.objects.claimed().count() == 1
        assert Pattern.objects.count() == 4
        assert StewardPost.objects.filter(volunteer=None).count() == 1
        assert Run.objects.get().gatherings.drafts().count() == 8
        assert Incident.objects.unfinished().count() == 1
        assert Gathering.objects.exclude(first_aider=None).count() == 1
        assert HealthNote.objects.get().delete_on

    def test_the_next_evening_has_gaps_wishes_and_a_place_to_be_answered(self):
        """What a lead has to look at is there to be looked at."""
        (entry,) = SignUp.objects.unanswered()
        assert entry.volunteer.user.email.startswith("volunteer@")
        page = suggestion(
            entry.gathering, datetime.fromisoformat(read_scenario()["now"])
        )
        assert page.short_before > page.short_after
        assert {move.sign_up.status for move in page.moves} >= {SignUpStatus.WAITING}
        fewest = entry.gathering.stations.values_list("fewest", flat=True)
        assert all(fewest)

    def test_children_have_their_guardians(self):
        children = Volunteer.objects.exclude(age_band=AgeBand.ADULT)
        assert children.count() == 3
        assert all(child.guardian for child in children)

    def test_it_says_where_to_look_and_as_whom(self):
        slug = Demonstration.objects.get().slug
        assert f"/at/{slug}/today/" in self.said
        for user in User.objects.all():
            assert user.email in self.said

    def test_nobody_is_written_to_about_a_season_that_never_was(self):
        assert mail.outbox == []

    def pulled(self, plot):
        return Entry.objects.filter(plot=plot).beets()

    def evenings(self, plot):
        rows = Gathering.objects.filter(plot=plot).exclude(
            status=GatheringStatus.CALLED_OFF
        )
        return list(rows.in_order())

    def test_one_dam_takes_the_crop_in_three_batches_of_whole_evenings(self):
        """One batch is under water, one in stook, one still stands."""
        dam, ret = Dam.objects.get(), Ret.objects.get()
        by_day = Plot.objects.annotate(day=Min("gathering__starts_at")).order_by("day")
        under_water, in_stook, standing = by_day
        assert ret.dam == dam
        assert ret.beets == self.pulled(under_water) <= capacity(dam.basin).high
        assert self.pulled(in_stook) > 0
        assert self.pulled(standing) == 0
        first, second, third = map(self.evenings, by_day)
        assert first[-1].ends_at < ret.began_at < second[0].starts_at
        assert second[-1].ends_at < self.now < third[0].ends_at
        for plot, evenings in zip(by_day, (first, second), strict=False):
            entries = Entry.objects.filter(plot=plot)
            assert set(entries.values_list("gathering", flat=True)) == {
                evening.pk for evening in evenings
            }

    def posted(self):
        return Gathering.objects.exclude(status=GatheringStatus.DRAFT)

    def test_everybody_may_be_where_they_are(self):
        """The site would give each the same place again, by all its rules."""
        for gathering in self.posted().select_related("demonstration"):
            places = gathering.sign_ups.held().select_related("station", "volunteer")
            stations = {place.station for place in places}
            known = known_of([place.volunteer for place in places], gathering, stations)
            for place in places:
                why = refusal(place.station, gathering, place.volunteer, known)
                assert why is None, (gathering, place, why)

    def test_no_child_is_there_without_their_adult(self):
        placed = SignUp.objects.held().filter(volunteer__age_band=AgeBand.UNDER_13)
        assert placed.exists()
        for place in placed.select_related("volunteer"):
            adult = SignUp.objects.held().filter(gathering=place.gathering)
            assert adult.filter(volunteer=place.volunteer.guardian).exists()

    def test_every_gathering_is_held_in_the_light(self):
        for gathering in Gathering.objects.select_related("demonstration"):
            light = light_of(gathering)
            stations = gathering.stations.all()
            assert light_warnings(light, gathering, stations) == [], gathering

    def test_an_evening_called_off_leaves_nothing_behind(self):
        (off,) = Gathering.objects.filter(status=GatheringStatus.CALLED_OFF)
        for rows in (off.turnout, off.entries, off.pictures):
            assert not rows.exists()

    def test_nothing_is_written_before_it_happened(self):
        ret = Ret.objects.get()
        moments = [
            *Entry.objects.values_list("entered_at", flat=True),
            *Turnout.objects.values_list("left_at", flat=True),
            *ret.readings.values_list("at", flat=True),
            *ret.checks.values_list("at", flat=True),
            *Picture.objects.values_list("added_at", flat=True),
            *Acknowledgement.objects.values_list("heard_at", flat=True),
        ]
        assert max(moments) <= self.now
        assert min(reading.at for reading in ret.readings.all()) >= ret.began_at

    def test_the_stages_hold_what_is_dated_in_them(self):
        stages = {row.stage: row for row in StageRecord.objects.all()}
        for gathering in (
            self.posted()
            .filter(starts_at__lte=self.now)
            .exclude(status=GatheringStatus.CALLED_OFF)
        ):
            row, day = stages[gathering.stage], gathering.starts_at.date()
            assert row.started_on <= day, gathering
            assert row.finished_on is None or day <= row.finished_on, gathering
        for row in stages.values():
            assert (row.started_on or row.planned_from) >= row.planned_from
            assert not row.finished_on or row.finished_on <= self.now.date()
        assert stages["filling_the_dam"].started_on == Ret.objects.get().began_at.date()

    def test_the_pictures_are_of_days_on_which_it_was_so(self):
        """People at work only while a gathering was held; a moon as it was.

        The moon's light is ephem's.
        """
        stages = {row.stage: row.started_on for row in StageRecord.objects.all()}
        crops = {"02-young-crop", "03-field-in-flower", "04-flowers-close"}
        without_people = crops | {"15-retting-mist"}
        folder = FIXTURES / "pictures"
        rows = json.loads((folder / "captions.json").read_text(encoding="utf-8"))
        held = Gathering.objects.exclude(status=GatheringStatus.CALLED_OFF)
        days = {one.starts_at.date() for one in held if one.starts_at < self.now}
        for row in rows:
            taken = date.fromisoformat(row["taken_on"])
            assert stages[row["stage"]] <= taken <= self.now.date(), row
            if row["file"].removesuffix(".jpg") not in without_people:
                assert taken in days, row
            if "full moon" in row["alt"]:
                assert ephem.Moon(f"{taken} 22:00").phase > 95, row

    def test_the_plan_of_the_harvest_has_evenings_and_carts_to_post(self):
        page = harvest_page(Demonstration.objects.get(), self.now)
        window = page.facts.window
        assert window.first <= self.now.date() <= window.best < window.last
        assert page.evenings
        assert page.pulling.can_post
        assert page.carts
        assert page.carting.can_post
        assert {one.day for one in page.facts.posted} >= {self.now.date()}

    def test_a_second_run_changes_nothing(self):
        before = Entry.objects.count(), Volunteer.objects.count()
        assert "there already" in self.show()
        assert (Entry.objects.count(), Volunteer.objects.count()) == before


@pytest.mark.any_database
class MomentTests(TestCase):
    """The same season, shown while it flowers and at its end."""

    def show(self, moment):
        self.now = datetime.fromisoformat(read_scenario(moment)["now"])
        self.enterContext(self.settings(CLOCK_STARTS_AT=self.now.isoformat()))
        call_command("demo", "--no-serve", moment=moment, stdout=StringIO())
        self.client.force_login(User.objects.get(email__startswith="organiser@"))
        home = f"/at/{Demonstration.objects.get().slug}/"
        for page in ("", "today/", "season/", "gatherings/", "tally/", "dam/"):
            assert self.client.get(home + page).status_code == 200, page

    def happened(self):
        return [
            *Entry.objects.values_list("entered_at", flat=True),
            *Turnout.objects.values_list("left_at", flat=True),
            *Ret.objects.values_list("began_at", flat=True),
            *Check.objects.values_list("at", flat=True),
            *Reading.objects.values_list("at", flat=True),
            *Move.objects.values_list("at", flat=True),
            *Picture.objects.values_list("added_at", flat=True),
        ]

    def test_in_flower_nothing_is_pulled_yet(self):
        self.show("flower")
        assert max(self.happened()) <= self.now
        assert not Entry.objects.exists()
        assert not Ret.objects.exists()
        assert Gathering.objects.over(self.now).count() == 2
        assert Gathering.objects.upcoming(self.now).exists()
        stages = StageRecord.objects.filter(started_on__isnull=False)
        assert {row.stage for row in stages} == {"sowing", "flowering"}

    def test_at_the_scutching_the_whole_crop_is_pulled_and_out_of_the_dam(self):
        self.show("scutching")
        assert max(self.happened()) <= self.now
        assert Ret.objects.filter(lifted_at__isnull=False).count() == 3
        here = Demonstration.objects.get()
        assert sum(Ret.objects.values_list("beets", flat=True)) == (
            Entry.objects.beets()
        )
        for place in (Place.STOOK, Place.CART, Place.DAM):
            assert not lots_at(here, place)
        assert unopened(self.client, f"/at/{here.slug}/today/") == []


class AddressTests(SimpleTestCase):
    """Sheets, letters and calendars carry the address that the show is served at."""

    def address(self, *words, setting="SITE_ADDRESS"):
        with (
            pytest.MonkeyPatch.context() as patch,
            tempfile.TemporaryDirectory() as folder,
        ):
            patch.setattr(manage, "SHOW", Path(folder) / "show")
            patch.setattr(os, "environ", {"SITE_ADDRESS": "https://elsewhere.example"})
            manage.stand_apart(["demo", *words])
            return os.environ[setting]

    def test_the_port_that_was_asked_for(self):
        assert self.address("--port", "8123") == "http://127.0.0.1:8123"
        assert self.address("--fresh", "--port=8124") == "http://127.0.0.1:8124"

    def test_or_the_usual_one(self):
        assert self.address() == "http://127.0.0.1:8000"
        assert self.address("--fresh") == "http://127.0.0.1:8000"

    def test_each_moment_has_a_clock_and_a_database_of_its_own(self):
        for moment, starts_at in read_moments().items():
            words = ("--moment", moment)
            assert self.address(*words, setting="CLOCK_STARTS_AT") == starts_at
            assert f"/{moment}/" in self.address(*words, setting="DATABASE_URL")
        with pytest.raises(SystemExit, match="flower, pulling, scutching"):
            self.address("--moment", "harvest")
