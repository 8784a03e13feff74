"""The organiser's pages: set-up, today, the season board."""

from datetime import timedelta
from decimal import Decimal

from django.test import TestCase
from django.urls import reverse

from heritage.season.models import Plot, StageRecord
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_plot,
    make_volunteer,
)


class OrganiserPageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.organiser = make_organiser(demonstration=cls.demonstration)
        cls.plot = make_plot(demonstration=cls.demonstration)

    def setUp(self):
        self.client.force_login(self.organiser.user)

    def address(self, name, *args):
        return reverse(f"desk:{name}", args=[self.demonstration.slug, *args])

    def test_today_asks_for_the_first_evening(self):
        response = self.client.get(self.address("today"))
        self.assertContains(response, "Post the next evening")

    def test_settings_change_and_the_address_stays(self):
        page = self.client.get(self.address("settings"))
        form = page.context["form"]
        data = {
            name: form.get_initial_for_field(field, name)
            for name, field in form.fields.items()
        }
        data = {key: value for key, value in data.items() if value is not None}
        data |= {"place_name": "Elsewhere", "token_rate_farthings": "6d"}
        assert self.client.post(self.address("settings"), data).status_code == 302
        self.demonstration.refresh_from_db()
        assert self.demonstration.place_name == "Elsewhere"
        assert self.demonstration.token_rate_farthings == 24

    def test_a_plot_is_added_and_changed(self):
        data = {"name": "B", "area": "1", "measure": "perch"}
        self.client.post(self.address("plot_add"), data)
        plot = Plot.objects.get(name="B")
        self.client.post(self.address("plot_edit", plot.pk), data | {"area": "2"})
        plot.refresh_from_db()
        assert plot.area_m2 == Decimal("50.59")

    def test_a_plot_of_that_name_is_refused_in_words(self):
        data = {"name": self.plot.name, "area": "1", "measure": "perch"}
        response = self.client.post(self.address("plot_add"), data)
        self.assertContains(response, "with that name")

    def test_another_demonstrations_plot_is_not_found(self):
        address = self.address("plot_edit", make_plot().pk)
        assert self.client.get(address).status_code == 404

    def test_a_stage_is_written_down(self):
        address = self.address("stage", "pulling")
        data = {"planned_from": "2026-08-03", "started_on": "2026-08-04"}
        assert self.client.post(address, data).status_code == 302
        assert StageRecord.objects.get().stage == "pulling"
        page = self.client.get(self.address("season"))
        self.assertContains(page, "going on")
        self.assertContains(page, "<svg")

    def test_a_stage_cannot_end_before_it_begins(self):
        address = self.address("stage", "pulling")
        data = {"started_on": "2026-08-04", "finished_on": "2026-08-01"}
        response = self.client.post(address, data)
        self.assertContains(response, "Choose a day on or after the start")

    def test_an_unknown_stage_is_not_found(self):
        assert self.client.get(self.address("stage", "juggling")).status_code == 404


class SeasonBoardTests(TestCase):
    def test_a_volunteer_reads_it_without_links_to_change_it(self):
        volunteer = make_volunteer()
        self.client.force_login(volunteer.user)
        slug = volunteer.demonstration.slug
        response = self.client.get(reverse("desk:season", args=[slug]))
        self.assertContains(response, "No stage has a date yet")
        self.assertNotContains(response, reverse("desk:stage", args=[slug, "pulling"]))

    def test_days_ago_do_not_matter(self):
        gathering = make_gathering(
            starts_at=NOW - timedelta(days=300),
            ends_at=NOW - timedelta(days=300) + timedelta(hours=2),
        )
        organiser = make_organiser(demonstration=gathering.demonstration)
        self.client.force_login(organiser.user)
        slug = gathering.demonstration.slug
        response = self.client.get(reverse("desk:today", args=[slug]))
        self.assertNotContains(response, "Put down who came")


class TabTests(TestCase):
    def lit(self, reader, person):
        self.client.force_login(reader.user)
        slug = reader.demonstration.slug
        page = self.client.get(reverse("people:about", args=[slug, person.pk]))
        assert page.status_code == 200
        return [str(door.label) for door in page.context["doors"] if door.is_current]

    def test_what_one_can_do_is_under_me_and_others_under_people(self):
        nora = make_organiser()
        here = {"demonstration": nora.demonstration}
        ann = make_volunteer(**here)
        child = make_volunteer(**here, user=None, age_band="from_13", guardian=ann)
        assert self.lit(ann, ann) == ["Me"]
        assert self.lit(ann, child) == ["Me"]
        assert self.lit(nora, nora) == ["People"]
        assert self.lit(nora, ann) == ["People"]
        assert self.lit(nora, child) == ["People"]
