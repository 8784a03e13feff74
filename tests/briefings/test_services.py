from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.briefings import selectors
from heritage.briefings import services as briefings_services
from heritage.briefings.hazards import services
from heritage.briefings.models import (
    Briefing,
    ControlKind,
    Hazard,
    HazardChange,
    HeardHow,
)
from heritage.people.models import AgeBand, Volunteer
from tests.factories import (
    NOW,
    make_briefing,
    make_demonstration,
    make_gathering,
    make_hazard,
    make_organiser,
    make_user,
    make_volunteer,
)

TOMORROW = date(2026, 8, 13)
RUSHES = {
    "title": "Sharp rushes",
    "harm": "Hands are cut.",
    "where": "the ditch",
    "severity": 2,
    "likelihood": 4,
    "severity_after": 2,
    "likelihood_after": 1,
}
CONTROLS = [
    (ControlKind.PROTECT, "Wear gloves."),
    (ControlKind.ELIMINATE, "Use twine instead."),
]


class HazardTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place).user
        cls.said = {"by": cls.nora, "now": NOW}

    def keep(self, hazard, *, controls=CONTROLS, **changes):
        return services.keep_hazard(
            hazard=hazard, values=RUSHES | changes, controls=controls, **self.said
        )

    def add(self, **changes):
        return self.keep(Hazard(demonstration=self.place), **changes)

    def past(self):
        return list(HazardChange.objects.of(self.place).newest_first())

    def test_controls_are_kept_the_strongest_first(self):
        texts = [control.text for control in self.add().controls.all()]
        assert texts == ["Use twine instead.", "Wear gloves."]

    def test_the_severest_needs_a_named_person_however_unlikely(self):
        deadly = {"severity": 5, "severity_after": 5, "likelihood": 1}
        with pytest.raises(ValidationError, match="This hazard can kill"):
            self.add(**deadly, controller=" ")
        assert self.add(**deadly, controller="Nora Bell").controller == "Nora Bell"

    def test_a_lowered_severity_says_why(self):
        with pytest.raises(ValidationError, match="less bad"):
            self.add(severity_after=1)
        assert self.add(severity_after=1, severity_reason="Twine has no edge.").pk

    def test_controls_do_not_make_it_worse(self):
        with pytest.raises(ValidationError, match="Controls can't make a hazard worse"):
            self.add(likelihood_after=5)

    def test_a_control_that_says_nothing_is_refused(self):
        with pytest.raises(ValidationError, match="fill this in"):
            self.add(controls=[(ControlKind.PROTECT, "")])

    def test_editing_puts_the_new_controls_in_place_of_the_old(self):
        hazard = self.add()
        self.keep(hazard, controls=[(ControlKind.PROTECT, "Gloves on.")])
        assert [control.text for control in hazard.controls.all()] == ["Gloves on."]

    def test_a_hazard_in_use_is_not_deleted(self):
        hazard = self.add()
        briefing = make_briefing(demonstration=self.place, title="Tying")
        briefing.hazards.add(hazard)
        with pytest.raises(ValidationError, match="is named in Tying"):
            services.delete_hazard(hazard=hazard, **self.said)
        briefing.hazards.clear()
        services.delete_hazard(hazard=hazard, **self.said)
        assert not self.place.hazards.exists()

    def test_it_is_judged_today_and_looked_at_again_in_a_year(self):
        hazard = self.add()
        assert (hazard.assessed_at, hazard.assessed_by) == (NOW, self.nora)
        assert hazard.review_on == date(2027, 8, 12)
        assert self.add(title="Wet grass", review_on=TOMORROW).review_on == TOMORROW

    def test_a_day_of_review_that_is_past_is_refused(self):
        with pytest.raises(ValidationError, match="Choose a day in the future"):
            self.add(review_on=date(2026, 8, 12))

    def test_grades_off_the_scale_are_refused(self):
        with pytest.raises(ValidationError, match="from 1 to 5"):
            self.add(likelihood_after=0)

    def test_stages_and_stations_are_those_of_the_work(self):
        hazard = self.add(stages=["pulling"], works=["pull", "tie"])
        assert (hazard.stages, hazard.works) == (["pulling"], ["pull", "tie"])
        with pytest.raises(ValidationError) as refused:
            self.add(title="Other", stages=["ploughing"], works=["ride"])
        assert set(refused.value.message_dict) == {"stages", "works"}

    def test_every_change_is_kept_with_what_it_was_and_by_whom(self):
        hazard = self.add()
        gloves = [(ControlKind.PROTECT, "Gloves on.")]
        self.keep(hazard, likelihood=5, controls=gloves)
        changed, written = self.past()
        assert (changed.at, changed.by, changed.title) == (NOW, self.nora, hazard.title)
        assert changed.what == {
            "likelihood": [4, 5],
            "controls": [
                [
                    "take it away: Use twine instead.",
                    "protect the person: Wear gloves.",
                ],
                ["protect the person: Gloves on."],
            ],
        }
        assert written.what["title"] == [None, "Sharp rushes"]

    def test_saving_the_same_again_changes_nothing_in_the_history(self):
        hazard = self.add()
        self.keep(hazard)
        assert len(self.past()) == 1

    def test_the_history_outlives_the_hazard(self):
        hazard = self.add()
        number = hazard.pk
        services.delete_hazard(hazard=hazard, **self.said)
        gone = self.past()[0]
        assert gone.hazard_number == number
        assert gone.what["title"] == ["Sharp rushes", None]
        assert gone.what["controls"][0]

    def test_looking_again_sets_the_next_day_and_says_what_was_found(self):
        hazard = self.add()
        then = {"by": self.nora, "now": NOW + timedelta(days=30)}
        services.look_again(hazard=hazard, note=" Same as before ", **then)
        hazard.refresh_from_db()
        assert hazard.review_on == date(2027, 9, 11)
        assert hazard.assessed_at == then["now"]
        assert self.past()[0].what == {
            "looked_at": [None, "Same as before"],
            "review_on": ["2027-08-12", "2027-09-11"],
        }
        hazard = make_hazard(demonstration=self.place)
        services.look_again(hazard=hazard, note="", review_on=TOMORROW, **self.said)
        noted = HazardChange.objects.get(hazard_number=hazard.pk)
        assert noted.what["looked_at"] == [None, "nothing to change"]
        with pytest.raises(ValidationError, match="Choose a day in the future"):
            services.look_again(
                hazard=hazard, note="", review_on=NOW.date(), **self.said
            )


class BriefingTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place).user
        cls.hazard = make_hazard(demonstration=cls.place)

    def compose(self, **words):
        words = {"title": "Tying", "task": "Tie.", "in_charge": "Nora Bell"} | words
        return briefings_services.keep_briefing(
            briefing=Briefing(demonstration=self.place),
            values=words,
            hazards=[self.hazard],
        )

    def publish(self, briefing, now=NOW):
        return briefings_services.publish(briefing=briefing, user=self.nora, now=now)

    def test_published_words_are_frozen(self):
        briefing = self.compose()
        version = self.publish(briefing)
        briefings_services.keep_briefing(
            briefing=briefing,
            values={"title": "Tying", "task": "Tie tightly."},
            hazards=[self.hazard],
        )
        version.refresh_from_db()
        assert version.number == 1
        assert version.published_by == self.nora
        assert version.content["task"] == "Tie."
        assert version.content["hazards"][0]["controls"] == [
            "Never work alone by the water."
        ]
        assert any("under 16" in rule for rule in version.content["young_people"])

    def test_hazards_of_another_demonstration_are_refused(self):
        with pytest.raises(ValidationError, match="Choose hazards from the list"):
            briefings_services.keep_briefing(
                briefing=Briefing(demonstration=self.place),
                values={"title": "Tying", "task": "Tie."},
                hazards=[make_hazard()],
            )

    def test_nobody_in_charge_is_not_published(self):
        with pytest.raises(ValidationError, match="Nobody is in charge"):
            self.publish(self.compose(in_charge=""))

    def test_a_briefing_without_hazards_is_not_published(self):
        briefing = self.compose()
        briefing.hazards.clear()
        with pytest.raises(ValidationError, match="No hazards yet"):
            self.publish(briefing)

    def test_a_deadly_hazard_without_a_name_is_not_published(self):
        self.hazard.controller = ""
        self.hazard.save(update_fields=["controller"])
        with pytest.raises(ValidationError, match="Name somebody to look after it"):
            self.publish(self.compose())

    def test_a_hazard_without_controls_is_not_published(self):
        self.hazard.controls.all().delete()
        with pytest.raises(ValidationError, match="has no controls"):
            self.publish(self.compose())

    def test_a_hazard_past_its_day_of_review_is_not_published(self):
        self.hazard.review_on = date(2026, 8, 11)
        self.hazard.save(update_fields=["review_on"])
        with pytest.raises(ValidationError, match="check by 11 August 2026"):
            self.publish(self.compose())
        self.hazard.review_on = date(2026, 8, 12)
        self.hazard.save(update_fields=["review_on"])
        assert self.publish(self.compose(title="Stooking")).number == 1

    def test_publishing_the_same_words_again_is_refused(self):
        briefing = self.compose()
        self.publish(briefing)
        with pytest.raises(ValidationError, match="Nothing has changed"):
            self.publish(briefing)

    def test_a_changed_control_makes_a_new_version_and_voids_what_was_heard(self):
        briefing = self.compose()
        ann = make_volunteer(demonstration=self.place)
        briefings_services.acknowledge(
            version=self.publish(briefing), volunteer=ann, by=ann.user, now=NOW
        )
        assert selectors.heard_pairs([ann], [briefing]) == {(ann.pk, briefing.pk)}
        self.hazard.controls.create(kind=ControlKind.PROTECT, text="Wear boots.")
        assert self.publish(briefing).number == 2
        assert selectors.heard_pairs([ann], [briefing]) == set()
        assert selectors.tick_list(briefing).to_hear_again == (ann,)


class AcknowledgeTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place)
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush")
        cls.briefing = make_briefing(demonstration=cls.place)
        cls.hazard = make_hazard(demonstration=cls.place)
        cls.briefing.hazards.add(cls.hazard)
        cls.version = briefings_services.publish(
            briefing=cls.briefing, user=cls.nora.user, now=NOW
        )

    def acknowledge(self, volunteer, by, how=HeardHow.SCREEN, version=None):
        return briefings_services.acknowledge(
            version=version or self.version,
            volunteer=volunteer,
            by=by.user,
            how=how,
            now=NOW,
        )

    def test_somebody_confirms_for_themselves_at_the_time_they_do(self):
        heard = self.acknowledge(self.ann, self.ann)
        assert heard.heard_at == NOW
        assert heard.recorded_by == self.ann.user

    def test_nobody_confirms_twice(self):
        self.acknowledge(self.ann, self.ann)
        with pytest.raises(ValidationError, match="confirmed this briefing already"):
            self.acknowledge(self.ann, self.ann)

    def test_a_guardian_confirms_for_a_child(self):
        child = make_volunteer(
            demonstration=self.place,
            user=None,
            age_band=AgeBand.FROM_13,
            guardian=self.ann,
        )
        assert self.acknowledge(child, self.ann).volunteer == child

    def test_a_young_person_with_an_account_confirms_for_themselves(self):
        joe = make_volunteer(
            demonstration=self.place, age_band=AgeBand.FROM_16, guardian=self.ann
        )
        assert self.acknowledge(joe, joe).recorded_by == joe.user

    def test_nobody_confirms_for_somebody_else(self):
        bob = make_volunteer(demonstration=self.place)
        with pytest.raises(ValidationError, match="only for yourself"):
            self.acknowledge(self.ann, bob)
        with pytest.raises(ValidationError, match="only for yourself"):
            self.acknowledge(self.ann, self.nora)

    def test_an_outdated_version_is_refused(self):
        self.hazard.controls.create(kind=ControlKind.PROTECT, text="Wear boots.")
        briefings_services.publish(briefing=self.briefing, user=self.nora.user, now=NOW)
        with pytest.raises(ValidationError, match="This briefing has changed"):
            self.acknowledge(self.ann, self.ann)

    def test_strangers_and_those_who_left_are_refused(self):
        stranger = make_volunteer()
        gone = make_volunteer(demonstration=self.place, left_at=NOW)
        for person in (stranger, gone):
            with pytest.raises(
                ValidationError,
                match="isn't on the list here",
            ):
                self.acknowledge(person, person)

    def test_a_line_merged_while_the_asker_was_asking_is_refused(self):
        stale = make_volunteer(demonstration=self.place)
        Volunteer.objects.filter(pk=stale.pk).update(left_at=NOW, merged_into=self.ann)
        with pytest.raises(ValidationError, match="isn't on the list here"):
            self.acknowledge(stale, stale)

    def test_an_organiser_ticks_off_all_who_listened_or_none(self):
        paper = make_volunteer(demonstration=self.place, user=None)
        people = [self.ann, paper]
        told = {"version": self.version, "by": self.nora.user, "now": NOW}
        briefings_services.acknowledge_all(
            volunteers=people, how=HeardHow.ALOUD, **told
        )
        late = make_volunteer(demonstration=self.place)
        with pytest.raises(ValidationError, match="already"):
            briefings_services.acknowledge_all(
                volunteers=[late, paper], how=HeardHow.PAPER, **told
            )
        assert self.version.acknowledgements.count() == 2

    def test_a_lead_ticks_off_until_the_day_after(self):
        lead = make_volunteer(demonstration=self.place)
        gathering = make_gathering(
            demonstration=self.place,
            lead=lead,
            starts_at=NOW - timedelta(hours=22),
            ends_at=NOW - timedelta(hours=20),
        )
        assert self.acknowledge(self.ann, lead, HeardHow.PAPER).how == "paper"
        gathering.starts_at -= timedelta(days=1)
        gathering.ends_at -= timedelta(days=1)
        gathering.save(update_fields=["starts_at", "ends_at"])
        with pytest.raises(ValidationError, match="Only an organiser or the lead"):
            self.acknowledge(self.nora, lead, HeardHow.ALOUD)

    def test_volunteers_and_strangers_tick_off_nobody(self):
        for person in (self.ann, make_organiser()):
            with pytest.raises(ValidationError, match="Only an organiser or the lead"):
                self.acknowledge(self.ann, person, HeardHow.ALOUD)


class StartingTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.library = {"user": make_user(), "now": NOW}
        cls.load = cls.library | {"in_charge": "Nora Bell"}

    def test_the_library_is_loaded_once(self):
        added = briefings_services.load_starting_library(
            demonstration=self.place, **self.library
        )
        assert len(added) == self.place.hazards.count() == 20
        assert (
            briefings_services.load_starting_library(
                demonstration=self.place, **self.library
            )
            == []
        )

    def test_every_starting_hazard_has_controls_and_a_caution(self):
        briefings_services.load_starting_library(
            demonstration=self.place, **self.library
        )
        for hazard in self.place.hazards.all():
            assert hazard.controls.count() >= 2
            assert hazard.caution

    def test_the_starting_briefings_are_published_when_somebody_is_named(self):
        added = briefings_services.load_starting_briefings(
            demonstration=self.place, **self.load
        )
        assert [briefing.title for briefing in added] == [
            "Pulling by hand",
            "Working at the dam",
            "Pulling with the machine",
            "Carting with the tractor",
            "Breaking and scutching",
        ]
        assert all(briefing.versions.count() == 1 for briefing in added)
        again = briefings_services.load_starting_briefings(
            demonstration=self.place, **self.load
        )
        assert again == []

    def test_without_names_they_wait_unpublished(self):
        briefings_services.load_starting_library(
            demonstration=self.place, **self.library
        )
        added = briefings_services.load_starting_briefings(
            demonstration=self.place, **self.load
        )
        assert not any(briefing.versions.exists() for briefing in added)
