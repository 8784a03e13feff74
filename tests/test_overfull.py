"""Pages of far more than the ordinary: what is long stands in parts, whole on a tap."""

from datetime import timedelta
from unittest import mock

from django.db import connection
from django.test import TestCase
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from heritage.fieldlog.models import FieldNote
from heritage.incidents.models import Witness
from tests.factories import (
    NOW,
    make_competence,
    make_dam,
    make_dam_work,
    make_demonstration,
    make_entry,
    make_exit,
    make_first_aid_point,
    make_gathering,
    make_incident,
    make_invitation,
    make_machine,
    make_machine_check,
    make_organiser,
    make_plot,
    make_ret,
    make_skill,
    make_station,
    make_volunteer,
    make_water_asked,
)
from tests.tally.rows import make_own_log

LONG = "The ground by the burn is soft after rain, so go round by the plank. " * 29


class OverfullTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration(story=LONG)
        cls.nora = make_organiser(demonstration=cls.here)
        cls.of = {"demonstration": cls.here}

    def setUp(self):
        clock = mock.patch("heritage.common.clock.now", return_value=NOW)
        clock.start()
        self.addCleanup(clock.stop)
        self.client.force_login(self.nora.user)

    def page(self, name, *args):
        answer = self.client.get(reverse(name, args=[self.here.slug, *args]))
        return answer.content.decode().partition("<main")[2].partition("</main")[0]

    def test_a_long_text_is_told_in_two_and_nothing_twice(self):
        evening = make_gathering(note=LONG, **self.of)
        for page in (
            self.page("public:story"),
            self.page("gatherings:gathering", evening.pk),
        ):
            assert page.count("Read on") == 1
            assert page.count("go round by the plank") == 29
        evening = make_gathering(note="Bring a rake.", **self.of)
        assert "Read on" not in self.page("gatherings:gathering", evening.pk)

    def test_each_witness_is_read_on_by_name(self):
        incident = make_incident(account=LONG, **self.of)
        for name in ("Torin Reed", "Ellen Marsh"):
            Witness.objects.create(
                incident=incident, name=name, says=LONG, added_by=self.nora.user
            )
        page = self.page("incidents:incident", incident.pk)
        assert page.count("Read on") == 3
        assert '<span class="visually-hidden">: Ellen Marsh</span>' in page

    def test_incidents_have_pages(self):
        for number in range(9):
            make_incident(place=f"Gate {number}", **self.of)
        assert "Page 1 of 2" in self.page("incidents:incidents")

    def test_the_fields_notes_have_pages(self):
        evening = make_gathering(**self.of)
        FieldNote.objects.bulk_create(
            FieldNote(
                gathering=evening, text=f"Note {number}.", at=NOW, by=self.nora.user
            )
            for number in range(11)
        )
        page = self.page("fieldlog:book", evening.pk)
        assert "Page 1 of 2" in page
        assert "Note 7." in page
        assert "Note 8." not in page

    def test_of_many_missing_guards_a_list_names_three_and_the_page_all(self):
        machine = make_machine(**self.of)
        names = [f"Guard {number}" for number in range(9)]
        for name in names:
            machine.guards.create(name=name)
        make_machine_check(machine=machine, may_run=False, missing=names)
        page = self.page("machines:machines")
        assert "Guard 0, Guard 1, Guard 2 and 7 more" in page
        assert "Guard 3" not in page
        missing = self.page("machines:machine", machine.pk).partition("Missing guards")
        assert all(missing[2].count(name) >= 2 for name in names)

    def test_of_many_stations_four_are_at_hand(self):
        evening = make_gathering(**self.of)
        for number in range(9):
            make_station(gathering=evening, title=f"Station {number}")
        self.client.logout()
        page = self.page("gatherings:gathering", evening.pk)
        in_sight, fold, _folded = page.partition("Station 4 to Station 7")
        assert fold
        assert "Station 3</h3>" in " ".join(in_sight.split()).replace(" </h3>", "</h3>")
        assert page.count("<details") == page.count("</details>")

    def test_many_points_ways_and_skills_fold_by_tens(self):
        for number in range(24):
            make_first_aid_point(place=f"Post {number:02}", **self.of)
            make_exit(name=f"Gate {number:02}", **self.of)
            make_competence(title=f"Skill {number:02}", **self.of)
        first_aid = self.page("briefings:emergency").partition("<h2>First aid")[2]
        in_sight, fold, _folded = first_aid.partition("<summary>What each one holds")
        assert fold
        assert all(f"Post {number:02}" in in_sight for number in range(24))
        assert "Gate 10 to Gate 19" in self.page("grounds:site")
        about = self.page("people:about", self.nora.pk)
        assert "Skill 04 to Skill 07" in about
        skill = self.nora.demonstration.competences.get(title="Skill 23")
        make_skill(volunteer=self.nora, competence=skill)
        about = self.page("people:about", self.nora.pk)
        assert about.index("Skill 23") < about.index("Skill 00")

    def test_many_plots_fold_and_four_do_not(self):
        for number in range(4):
            make_plot(name=f"Plot {number}", **self.of)
        assert "<summary>Plot 0" not in self.page("growth:growing")
        make_plot(name="Plot 4", **self.of)
        assert self.page("growth:growing").count("<summary>Plot ") == 5

    def test_of_a_long_season_the_last_twelve_evenings_are_drawn(self):
        for number in range(22):
            start = NOW - timedelta(days=40 - number)
            evening = make_gathering(
                starts_at=start, ends_at=start + timedelta(hours=2), **self.of
            )
            make_entry(gathering=evening, entered_at=start)
        page = self.page("tally:board")
        assert "Earlier evenings <small>10</small>" in page

    def test_skills_to_confirm_invitations_and_plots_fold_by_tens(self):
        for number in range(16):
            person = make_volunteer(name=f"Person {number:02}", **self.of)
            skill = make_competence(title=f"Skill {number:02}", **self.of)
            make_skill(volunteer=person, competence=skill, confirmed_by=None)
            make_invitation(email=f"asked{number:02}@example.org", **self.of)
            make_plot(name=f"Piece {number:02}", **self.of)
        page = self.page("people:competences")
        assert "Person 04 to Person 07" in page
        assert "Skill 12 to Skill 15" in page
        page = self.page("people:invitations")
        assert "asked05@example.org to asked00@example.org" in page
        assert page.count("Withdraw<") == 16
        assert "All plots <small>16</small>" in self.page("desk:settings")

    def test_own_logs_after_the_fourth_are_folded_by_name(self):
        evening = make_gathering(**self.of)
        for number in range(9):
            person = make_volunteer(name=f"Person {number}", **self.of)
            make_own_log(gathering=evening, volunteer=person)
        page = self.page("tally:confirm", evening.pk)
        assert "Person 4 to Person 7" in page
        assert page.count("Answer Person ") == 9

    def test_who_was_asked_of_the_water_long_ago_is_folded(self):
        dam = make_dam(**self.of)
        for _ in range(6):
            make_water_asked(dam=dam)
        page = self.page("dam:works", dam.pk)
        assert "Asked earlier <small>5</small>" in page
        assert page.count("<details") == page.count("</details>")

    def test_a_dams_book_costs_the_same_however_many_were_asked(self):
        dam = make_dam(**self.of)
        make_water_asked(dam=dam)
        make_dam_work(dam=dam)
        self.page("dam:works", dam.pk)
        with CaptureQueriesContext(connection) as few:
            self.page("dam:works", dam.pk)
        for _ in range(5):
            make_water_asked(dam=dam)
            make_dam_work(dam=dam)
        with self.assertNumQueries(len(few)):
            self.page("dam:works", dam.pk)

    def test_of_many_dams_those_with_flax_in_them_are_at_hand(self):
        for number in range(7):
            make_dam(name=f"Dam {number}", **self.of)
        make_ret(dam=self.here.dams.get(name="Dam 6"))
        page = self.page("dam:list")
        in_sight, fold, _folded = page.partition("Dam 0 to Dam 3")
        assert fold
        assert "Dam 6" in in_sight
        assert "Dam 0</a>" not in in_sight

    def test_of_many_witnesses_all_are_folded_together(self):
        incident = make_incident(**self.of)
        for number in range(4):
            Witness.objects.create(
                incident=incident, name=f"Ned {number}", added_by=self.nora.user
            )
        page = self.page("incidents:incident", incident.pk)
        assert "<summary>Witnesses <small>4</small>" in page
        assert "Ned 3" in page
