import re
from datetime import date, timedelta

from django.test import TestCase
from django.urls import reverse

from heritage.briefings import services
from heritage.briefings.models import Hazard
from heritage.common import clock
from tests.factories import (
    NOW,
    make_briefing,
    make_demonstration,
    make_emergency_plan,
    make_gathering,
    make_hazard,
    make_organiser,
    make_sign_up,
    make_station,
    make_user,
    make_volunteer,
)

HAZARD = {
    "title": "Sharp rushes",
    "harm": "Hands are cut.",
    "where": "the ditch",
    "severity": 2,
    "likelihood": 4,
    "severity_after": 2,
    "likelihood_after": 1,
    "mark": "warning",
    "protect": "Wear gloves.\n\nKeep apart.",
}


class SafetyCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush")
        cls.hazard = make_hazard(demonstration=cls.place, title="Deep water")
        cls.briefing = make_briefing(demonstration=cls.place, title="At the dam")
        cls.briefing.hazards.add(cls.hazard)

    def publish(self):
        return services.publish(briefing=self.briefing, user=self.nora.user, now=NOW)

    def url(self, view, *args):
        subject = "desk" if view == "safety" else "briefings"
        return reverse(f"{subject}:{view}", args=[self.place.slug, *args])

    def be(self, person):
        self.client.force_login(getattr(person, "user", person))

    def post(self, view, /, *args, **data):
        return self.client.post(self.url(view, *args), data)

    def get(self, view, *args, **data):
        return self.client.get(self.url(view, *args), data)


class CautionTests(SafetyCase):
    def test_anybody_reads_the_cautions_and_the_ages(self):
        response = self.get("cautions")
        self.assertContains(response, "Don&#x27;t jump in")
        self.assertContains(response, "Northern Ireland SR 2006/335")
        self.assertContains(response, "Check that the right place is set")


class HazardTests(SafetyCase):
    def test_volunteers_read_and_do_not_write(self):
        self.be(self.ann)
        response = self.get("hazards")
        self.assertContains(response, "Deep water")
        self.assertNotContains(response, "Write down a hazard")
        assert self.get("add_hazard").status_code == 403

    def test_one_without_a_place_is_kept_as_typed_and_the_field_named(self):
        self.be(self.nora)
        page = self.post("add_hazard", **HAZARD | {"where": " "})
        assert list(page.context["form"].errors) == ["where"]
        self.assertContains(page, "Sharp rushes")

    def test_an_organiser_writes_one_down(self):
        self.be(self.nora)
        self.get("add_hazard")
        response = self.post("add_hazard", **HAZARD)
        self.assertRedirects(response, self.url("hazards"))
        hazard = Hazard.objects.get(title="Sharp rushes")
        assert [control.text for control in hazard.controls.all()] == [
            "Wear gloves.",
            "Keep apart.",
        ]

    def test_a_deadly_one_without_a_name_is_kept_and_the_field_named(self):
        self.be(self.nora)
        deadly = HAZARD | {"severity": 5, "severity_after": 5}
        response = self.post("add_hazard", **deadly)
        assert "controller" in response.context["form"].errors
        self.assertContains(response, "Hands are cut.")
        self.assertContains(response, "Wear gloves.")

    def test_a_lowered_severity_without_reason_is_refused(self):
        self.be(self.nora)
        response = self.post("add_hazard", **HAZARD | {"severity_after": 1})
        self.assertContains(response, "less bad")

    def test_a_long_instruction_is_refused_beside_its_field(self):
        self.be(self.nora)
        response = self.post("add_hazard", **HAZARD | {"protect": "x" * 241})
        assert "protect" in response.context["form"].errors

    def test_the_form_shows_what_is_there_and_changes_it(self):
        self.be(self.nora)
        page = self.get("edit_hazard", self.hazard.pk)
        self.assertContains(page, "Never work alone by the water.")
        response = self.post("edit_hazard", self.hazard.pk, **HAZARD)
        self.assertRedirects(response, self.url("hazard", self.hazard.pk))
        self.hazard.refresh_from_db()
        assert self.hazard.title == "Sharp rushes"

    def test_one_in_use_is_not_taken_away(self):
        self.be(self.nora)
        self.post("edit_hazard", self.hazard.pk, away="1")
        self.assertContains(self.get("hazards"), "is named in At the dam")
        self.briefing.hazards.clear()
        response = self.post("edit_hazard", self.hazard.pk, away="1")
        self.assertRedirects(response, self.url("hazards"))
        assert not Hazard.objects.filter(pk=self.hazard.pk).exists()

    def test_the_library_is_added_and_waits_for_names(self):
        self.be(self.nora)
        self.post("load_library")
        response = self.get("hazards")
        self.assertContains(response, "needs a name")
        self.assertContains(response, "an opinion in numbers")

    def test_stages_and_stations_are_ticked_and_kept(self):
        self.be(self.nora)
        said = HAZARD | {"stages": ["pulling"], "works": ["pull", "nap"]}
        response = self.post("add_hazard", **said)
        assert "works" in response.context["form"].errors
        self.assertContains(response, 'id="id_stages_3" checked')
        self.post("add_hazard", **said | {"works": ["pull"]})
        hazard = Hazard.objects.get(title="Sharp rushes")
        assert (hazard.stages, hazard.works) == (["pulling"], ["pull"])

    def test_the_list_is_narrowed_and_nonsense_narrows_nothing(self):
        self.hazard.stages = ["retting"]
        self.hazard.save(update_fields=["stages"])
        self.be(self.ann)
        none = self.get("hazards", stage="pulling")
        self.assertContains(none, "No hazards there")
        for asked in ({"stage": "retting"}, {"stage": "x"}, {"work": "pull"}):
            self.assertContains(self.get("hazards", **asked), "Deep water")

    def test_one_press_says_it_was_looked_at_again(self):
        self.hazard.review_on = date(2020, 1, 1)
        self.hazard.save(update_fields=["review_on"])
        self.be(self.nora)
        self.assertContains(self.get("hazards"), "overdue for a check")
        response = self.post("look_again", self.hazard.pk, note="Still so")
        self.assertRedirects(response, self.url("hazard", self.hazard.pk))
        page = self.get("hazard", self.hazard.pk)
        self.assertContains(page, "Checked again: Still so.")
        self.assertContains(page, "At the dam")
        self.assertContains(self.get("hazard_changes"), "Deep water")
        again = self.post("look_again", self.hazard.pk, review_on="2020-01-01")
        self.assertContains(again, "Choose a day in the future")
        self.be(self.ann)
        assert self.post("look_again", self.hazard.pk).status_code == 403
        assert self.get("hazard_changes").status_code == 403
        self.assertContains(self.get("hazard", self.hazard.pk), "Still so")

    def test_a_volunteer_prints_the_assessment(self):
        self.be(self.ann)
        for asked in ({}, {"large": "1"}):
            assert self.get("risk_sheet", **asked).content.startswith(b"%PDF")

    def test_a_strangers_hazard_is_not_found(self):
        self.be(self.nora)
        assert self.get("edit_hazard", make_hazard().pk).status_code == 404


class ComposeTests(SafetyCase):
    def test_an_empty_list_says_what_comes_next(self):
        self.be(self.ann)
        self.assertContains(self.get("safety"), "No briefing is published yet")

    def test_a_briefing_is_written_then_published(self):
        self.be(self.nora)
        self.assertContains(self.get("compose"), 'value="Nora Bell"')
        words = {"title": "Tying", "task": "Tie.", "in_charge": "Nora Bell"}
        self.post("compose", hazards=[self.hazard.pk], **words)
        briefing = self.place.briefings.get(title="Tying")
        self.get("publishing", briefing.pk)
        response = self.client.post(self.url("publishing", briefing.pk), follow=True)
        self.assertContains(response, "Published.")

    def test_hazards_are_suggested_for_the_work(self):
        dust = make_hazard(demonstration=self.place, title="Dust", stages=["scutching"])
        self.be(self.nora)
        plain = self.get("compose")
        self.assertNotContains(plain, "checked")
        page = self.get("compose", stage="retting", work=["tread"])
        ticked = re.findall(
            r'name="hazards"\s+value="(\d+)"[^>]* checked', page.content.decode()
        )
        assert str(self.hazard.pk) in ticked
        assert str(dust.pk) not in ticked
        self.assertContains(page, "ticked below")
        for nothing in ({"stage": ""}, {"stage": "napping"}):
            page = self.get("compose", **nothing)
            self.assertNotContains(page, 'id="id_hazards_0" checked')

    def test_what_the_emergency_plan_says_is_offered(self):
        make_emergency_plan(demonstration=self.place, hospital="The Mater")
        self.be(self.nora)
        self.assertContains(self.get("compose"), "emergency sheet says: The Mater")

    def test_hazards_of_others_cannot_be_chosen(self):
        self.be(self.nora)
        response = self.post(
            "compose", title="Tying", task="Tie.", hazards=[make_hazard().pk]
        )
        assert "hazards" in response.context["form"].errors
        self.assertContains(response, 'value="Tying"')

    def test_the_reasons_stand_in_the_way(self):
        self.be(self.nora)
        self.briefing.in_charge = ""
        self.briefing.save(update_fields=["in_charge"])
        self.assertContains(self.get("publishing", self.briefing.pk), "Nobody is in")
        response = self.post("publishing", self.briefing.pk)
        self.assertContains(response, "Nobody is in charge")
        assert not self.briefing.versions.exists()

    def test_a_change_says_who_must_hear_it_again(self):
        version = self.publish()
        services.acknowledge(
            version=version, volunteer=self.ann, by=self.ann.user, now=NOW
        )
        self.be(self.nora)
        self.get("edit_briefing", self.briefing.pk)
        self.post(
            "edit_briefing",
            self.briefing.pk,
            title="At the dam",
            task="Tread slowly.",
            in_charge="Nora Bell",
            hazards=[self.hazard.pk],
        )
        starts = clock.now() + timedelta(days=1)
        evening = make_gathering(
            demonstration=self.place,
            title="Treading",
            starts_at=starts,
            ends_at=starts + timedelta(hours=2),
        )
        station = make_station(gathering=evening, briefing=self.briefing)
        make_sign_up(station=station, volunteer=self.ann)
        page = self.get("publishing", self.briefing.pk)
        self.assertContains(page, "must hear the new one")
        self.assertContains(page, "has a place")
        self.assertContains(page, "at Treading")
        self.assertContains(page, "Still empty: ")
        self.assertContains(page, "Reading grade")
        response = self.client.post(
            self.url("publishing", self.briefing.pk), follow=True
        )
        self.assertContains(response, "Must hear it again: Ann Rush.")
        self.assertContains(response, "With a place that needs it: Ann Rush.")
        self.assertContains(response, "Must hear it again")

    def test_the_starting_briefings_are_added(self):
        self.be(self.nora)
        self.post("load_starting")
        response = self.get("safety")
        self.assertContains(response, "Pulling with the machine")

    def test_a_keeper_who_has_not_joined_may_add_them_too(self):
        self.be(make_user(is_staff=True))
        self.post("load_starting")
        assert self.place.briefings.filter(title="Pulling by hand").exists()


class HearTests(SafetyCase):
    def test_a_volunteer_reads_confirms_and_goes_on(self):
        version = self.publish()
        self.be(self.ann)
        page = self.get("briefing", self.briefing.pk, next=self.url("hazards"))
        self.assertContains(page, "Never work alone by the water.")
        self.assertContains(page, self.url("hazards"))
        response = self.post("acknowledge", version.pk, next=self.url("hazards"))
        self.assertRedirects(response, self.url("hazards"))
        self.assertContains(self.get("briefing", self.briefing.pk), ">heard<")
        self.assertContains(self.get("safety"), "tag-done")

    def test_a_guardian_confirms_for_a_child_and_nobody_else(self):
        version = self.publish()
        child = make_volunteer(
            demonstration=self.place,
            user=None,
            name="Wee Joe",
            age_band="from_13",
            guardian=self.ann,
        )
        self.be(self.ann)
        self.assertContains(self.get("briefing", self.briefing.pk), "Wee Joe")
        self.post("acknowledge", version.pk, who=child.pk)
        assert version.acknowledgements.get().volunteer == child
        response = self.post("acknowledge", version.pk, who=self.nora.pk)
        assert response.status_code == 404

    def test_an_outdated_version_is_refused_in_words(self):
        old = self.publish()
        self.hazard.controls.create(kind="5_protect", text="Wear boots.")
        self.publish()
        self.be(self.ann)
        response = self.client.post(self.url("acknowledge", old.pk), follow=True)
        self.assertContains(response, "This briefing has changed")

    def test_a_keeper_who_has_not_joined_confirms_nothing(self):
        version = self.publish()
        self.be(make_user(is_staff=True))
        self.assertContains(self.get("briefing", self.briefing.pk), "joined here, so")
        assert self.post("acknowledge", version.pk).status_code == 404

    def test_before_it_is_published_there_is_nothing_to_read_or_print(self):
        self.be(self.ann)
        page = self.get("briefing", self.briefing.pk)
        self.assertContains(page, "published yet")
        assert self.get("briefing_sheet", self.briefing.pk).status_code == 404

    def test_the_sheet_is_a_pdf(self):
        self.publish()
        self.be(self.ann)
        for data in ({}, {"large": "1"}):
            response = self.get("briefing_sheet", self.briefing.pk, **data)
            assert response.content.startswith(b"%PDF")


class TickOffTests(SafetyCase):
    def tick(self, people, version):
        return self.post(
            "tick_off",
            self.briefing.pk,
            people=[person.pk for person in people],
            how="aloud",
            version=version.pk,
        )

    def test_an_organiser_ticks_those_who_listened(self):
        version = self.publish()
        self.be(self.nora)
        self.assertContains(self.get("tick_off", self.briefing.pk), "Ann Rush")
        response = self.tick([self.ann, self.nora], version)
        self.assertRedirects(response, self.url("tick_off", self.briefing.pk))
        page = self.get("tick_off", self.briefing.pk)
        self.assertContains(page, "Everybody on the list has heard it")

    def test_a_lead_ticks_and_a_volunteer_does_not(self):
        version = self.publish()
        lead = make_volunteer(demonstration=self.place)
        make_gathering(
            demonstration=self.place, lead=lead, ends_at=NOW.replace(year=2100)
        )
        self.be(self.ann)
        assert self.get("tick_off", self.briefing.pk).status_code == 404
        self.be(lead)
        self.tick([self.ann], version)
        assert version.acknowledgements.get().recorded_by == lead.user

    def test_the_tick_leads_back_to_where_it_was_made(self):
        version = self.publish()
        self.be(self.nora)
        data = {"people": [self.ann.pk], "how": "paper", "version": version.pk}
        back = self.url("hazards")
        response = self.post("tick_off", self.briefing.pk, **data, next=back)
        self.assertRedirects(response, back)
        assert version.acknowledgements.get().how == "paper"

    def test_nobody_ticked_is_said_beside_the_field(self):
        version = self.publish()
        self.be(self.nora)
        response = self.tick([], version)
        assert "people" in response.context["form"].errors

    def test_ticks_for_an_older_version_are_refused(self):
        old = self.publish()
        self.hazard.controls.create(kind="5_protect", text="Wear boots.")
        self.publish()
        self.be(self.nora)
        response = self.tick([self.ann], old)
        self.assertContains(response, "This briefing has changed")
