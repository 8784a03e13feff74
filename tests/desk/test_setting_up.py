"""Five answers set a demonstration up, whole or not at all."""

from unittest import mock

import pytest
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.gatherings.models import Gathering
from heritage.season.models import Demonstration
from tests.factories import NOW, make_user

# Places are real towns, since a real gazetteer is asked.
FIVE = {
    "name": "Flax at Lintholm",
    "where": "Moneymore",
    "crop": "flax",
    "area": "2",
    "measure": "rood",
    "day": "2026-08-13",
    "starts": "18:30",
    "ends": "20:30",
    "founder_name": "Nora Bell",
}


@pytest.mark.any_database
class SetUpTests(TestCase):
    def setUp(self):
        self.user = make_user(name="Nora Bell")
        self.client.force_login(self.user)
        self.url = reverse("desk:set_up")
        self.enterContext(mock.patch.object(clock, "now", return_value=NOW))

    def ask(self, **answers):
        return self.client.post(self.url, FIVE | answers)

    def test_a_visitor_is_asked_to_sign_in(self):
        self.client.logout()
        response = self.client.get(self.url)
        assert response.url.startswith(reverse("account_login"))

    def test_it_asks_nine_fields_for_five_answers_and_knows_who_asks(self):
        form = self.client.get(self.url).context["form"]
        assert set(form.fields) == set(FIVE)
        assert form.initial["founder_name"] == "Nora Bell"

    def test_five_answers_end_at_a_posted_evening(self):
        response = self.ask(founder_name="Nora B.")
        evening = Gathering.objects.get()
        assert response.url == evening.get_absolute_url()
        made = evening.demonstration
        assert (made.place_name, made.jurisdiction) == ("Moneymore", "ni")
        assert (made.time_zone, made.year) == ("Europe/London", 2026)
        assert made.volunteers.get(is_organiser=True).name == "Nora B."
        assert evening.is_posted
        assert f"{evening.starts_at:%H:%M}" == "17:30"

    def test_all_else_has_a_start_and_the_dam_waits_until_it_is_needed(self):
        self.ask()
        made = Demonstration.objects.get()
        assert (made.plots.count(), made.dams.count()) == (1, 0)
        assert made.hazards.count() >= 10
        stations = Gathering.objects.get().stations.in_order()
        for station in stations:
            assert station.briefing.versions.exists()
            assert station.least_age == "from_13"

    def test_looking_shows_the_place_and_its_light_and_judges_nothing(self):
        response = self.ask(look="1", name="", starts="")
        self.assertContains(response, "Moneymore, Mid Ulster, Northern Ireland")
        self.assertContains(response, "The sun sets there at <strong>21:03")
        self.assertNotContains(response, "Please check")
        assert not Demonstration.objects.exists()

    def test_looking_says_what_the_times_may_pull_and_where_they_run_past(self):
        response = self.ask(look="1", ends="22:30")
        self.assertContains(response, "10 beginners may pull about")
        self.assertContains(response, "Your times run past the light.")

    def test_of_several_places_it_asks_which(self):
        response = self.ask(where="Newport")
        self.assertContains(response, "There are several. Choose the one you mean.")
        which = response.context["form"].fields["which"].choices
        wales = next(key for key, words in which if words.endswith("Wales"))
        self.ask(where="Newport", which=wales)
        assert Demonstration.objects.get().jurisdiction == "gb"

    def test_near_a_border_it_asks_whose_rules_apply(self):
        response = self.ask(where="Clones")
        self.assertContains(response, "Choose the country whose rules apply.")
        self.ask(where="Clones", rules="ie")
        made = Demonstration.objects.get()
        assert (made.jurisdiction, made.time_zone) == ("ie", "Europe/Dublin")

    def test_a_place_that_is_nowhere_is_refused_by_its_field(self):
        response = self.ask(where="95, 10")
        assert "where" in response.context["form"].errors
        self.assertContains(response, "know that place")
        self.assertContains(response, 'value="Flax at Lintholm"')
        assert not Demonstration.objects.exists()

    def test_a_day_that_is_past_is_refused_by_its_field_and_nothing_is_kept(self):
        response = self.ask(day="2020-08-12")
        assert "day" in response.context["form"].errors
        assert not Demonstration.objects.exists()
