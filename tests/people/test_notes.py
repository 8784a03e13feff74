"""Notes on health and access: who writes, who reads, when they go."""

from datetime import UTC, date, datetime, timedelta
from unittest import mock

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.people import services as people_services
from heritage.people.agreements import selectors, services
from heritage.people.agreements.selectors import kept_until, season_ends_on
from heritage.people.models import AgreedHow, Agreement, HealthNote, Subject
from tests.factories import (
    NOW,
    make_agreement,
    make_competence,
    make_demonstration,
    make_gathering,
    make_health_note,
    make_organiser,
    make_sign_up,
    make_skill,
    make_station,
    make_user,
    make_volunteer,
    make_weighing,
    make_wording,
)

TODAY = date(2026, 8, 12)


class NoteCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place}
        cls.nora = make_organiser(name="Nora Bell", **here)
        cls.ann = make_volunteer(name="Ann Rush", **here)
        cls.bob = make_volunteer(name="Bob Carr", **here)
        cls.joe = make_volunteer(
            name="Joe Rush", guardian=cls.ann, age_band="from_13", **here
        )

    def setUp(self):
        patched = mock.patch.object(clock, "now", return_value=NOW)
        patched.start()
        self.addCleanup(patched.stop)

    def keep(self, person=None, by=None, number=1, text="Carries an inhaler."):
        person = person or self.ann
        return services.keep_health_note(
            volunteer=person,
            text=text,
            number=number,
            by=(by or person).user,
            now=NOW,
        )

    def place_on(self, day, person=None, **fields):
        starts = datetime(day.year, day.month, day.day, 17, 30, tzinfo=UTC)
        gathering = make_gathering(
            demonstration=self.place,
            starts_at=starts,
            ends_at=starts + timedelta(hours=2),
            **fields,
        )
        station = make_station(gathering=gathering)
        return make_sign_up(station=station, volunteer=person or self.ann)


class RuleTests(NoteCase):
    def test_fourteen_days_after_the_last_gathering_or_thirty_after_the_season(self):
        end = date(2026, 9, 30)
        for last, written, expected in (
            (date(2026, 8, 20), TODAY, date(2026, 9, 3)),
            (None, TODAY, date(2026, 10, 30)),
            # Never sooner than 14 days after it was written.
            (date(2026, 8, 1), TODAY, date(2026, 8, 26)),
            (None, date(2026, 11, 1), date(2026, 11, 15)),
            # Never later than 30 days after the season.
            (date(2026, 10, 20), TODAY, date(2026, 10, 30)),
        ):
            found = kept_until(written_on=written, last=last, season_end=end)
            assert found == expected

    def test_the_season_ends_with_its_last_stage_or_gathering_or_its_year(self):
        assert season_ends_on(self.place) == date(2026, 12, 31)
        self.place.stage_records.create(stage="pulling", planned_to=date(2026, 8, 30))
        self.place.stage_records.create(
            stage="retting",
            started_on=date(2026, 9, 1),
            finished_on=date(2026, 9, 9),
        )
        assert season_ends_on(self.place) == date(2026, 9, 9)
        self.place_on(date(2026, 9, 20))
        self.place_on(date(2026, 12, 1), status="draft")
        make_gathering(ends_at=NOW + timedelta(days=90))
        with self.assertNumQueries(1):
            assert season_ends_on(self.place) == date(2026, 9, 20)


class KeepTests(NoteCase):
    def test_a_note_is_kept_with_its_agreement_and_its_day(self):
        self.place_on(date(2026, 8, 20))
        self.place_on(date(2026, 9, 20)).gathering.sign_ups.update(status="given_up")
        note = self.keep()
        assert note.delete_on == date(2026, 9, 3)
        agreed = self.ann.agreements.get()
        assert (agreed.wording.subject, agreed.how) == (Subject.HEALTH, "screen")

    def test_changing_it_is_agreed_to_anew(self):
        self.keep()
        note = self.keep(text=" An allergy to bees. ")
        assert HealthNote.objects.get() == note
        assert note.text == "An allergy to bees."
        assert self.ann.agreements.count() == 2
        assert self.ann.agreements.standing().count() == 1

    def test_words_that_changed_are_read_again_and_nothing_is_kept(self):
        make_wording(demonstration=self.place, subject=Subject.HEALTH, number=2)
        with pytest.raises(ValidationError, match="The wording has changed"):
            self.keep()
        assert not HealthNote.objects.exists()
        assert not Agreement.objects.exists()

    def test_a_guardian_writes_for_a_child_and_no_other_volunteer_does(self):
        assert self.keep(self.joe, by=self.ann).agreed_by == self.ann.user
        with pytest.raises(ValidationError, match="Only an organiser"):
            self.keep(self.joe, by=self.bob)
        with pytest.raises(ValidationError, match="is under 16: their guardian"):
            self.keep(self.joe)

    def test_an_organiser_enters_what_was_signed_on_paper(self):
        self.keep(self.bob, by=self.nora)
        assert self.bob.agreements.get().how == AgreedHow.PAPER

    def test_an_empty_note_and_one_of_somebody_gone_are_refused(self):
        with pytest.raises(ValidationError, match="Please fill this in"):
            self.keep(text="  ")
        self.bob.left_at = NOW
        with pytest.raises(ValidationError, match="has left"):
            self.keep(self.bob)

    def test_it_is_deleted_at_once_by_self_guardian_or_organiser_alone(self):
        for person in (self.ann, self.joe, self.nora):
            self.keep(self.joe, by=self.ann)
            take_back = {"volunteer": self.joe, "now": NOW}
            with pytest.raises(ValidationError, match="or their guardian can say this"):
                services.take_back_health_note(by=self.bob.user, **take_back)
            services.take_back_health_note(by=person.user, **take_back)
            assert not HealthNote.objects.exists()
            assert not Agreement.objects.standing().exists()

    def test_it_goes_when_its_person_leaves(self):
        self.keep(self.bob)
        people_services.leave(volunteer=self.bob, now=NOW)
        assert not HealthNote.objects.exists()

    def test_the_database_holds_what_it_can(self):
        for name, fields in (
            ("health_note_says_something", {"text": ""}),
            ("health_note_ends_after_it_is_given", {"delete_on": date(2026, 8, 1)}),
        ):
            with pytest.raises(IntegrityError, match=name), transaction.atomic():
                make_health_note(volunteer=self.ann, **fields)
        with (
            pytest.raises(IntegrityError, match="agreement_ends_after_it_is_given"),
            transaction.atomic(),
        ):
            make_agreement(
                volunteer=self.ann,
                withdrawn_at=NOW - timedelta(days=1),
                withdrawn_by=self.ann.user,
            )


class DueTests(NoteCase):
    def test_what_is_due_goes_and_the_rest_gets_its_day_anew(self):
        self.place_on(date(2026, 8, 1))
        place = self.place_on(date(2026, 8, 1), self.bob)
        for person in (self.ann, self.bob):
            self.keep(person)
        # Bob signs up for a later evening, Ann does not.
        later = self.place_on(date(2026, 9, 1), self.bob)
        elsewhere = make_health_note(volunteer=make_volunteer())
        assert services.delete_due_notes(date(2026, 8, 25)) == []
        assert services.delete_due_notes(date(2026, 8, 26)) == [self.ann]
        note = HealthNote.objects.get(volunteer=self.bob)
        assert note.delete_on == date(2026, 9, 15)
        # Bob gives it up again: the earlier evening counts.
        later.status = "given_up"
        later.save(update_fields=["status"])
        due = {"demonstration": self.place}
        assert services.delete_due_notes(date(2026, 8, 26), **due) == [self.bob]
        assert HealthNote.objects.get() == elsewhere
        assert place.status == "held"

    def test_the_queries_do_not_grow_with_notes_that_stay_but_for_their_saving(self):
        for size in (1, 5):
            while HealthNote.objects.count() < size:
                self.keep(make_volunteer(demonstration=self.place))
            # The lock's savepoint, the notes, the season, and a line for each note.
            with self.assertNumQueries(4 + size):
                services.delete_due_notes(TODAY)


@pytest.mark.any_database
class PageTests(NoteCase):
    def url(self, view, *args):
        return reverse(f"people:{view}", args=[self.place.slug, *args])

    def get(self, view, *args, by=None):
        self.client.force_login((by or self.ann).user)
        return self.client.get(self.url(view, *args))

    def post(self, view, /, *args, by=None, **data):
        self.client.force_login((by or self.ann).user)
        return self.client.post(self.url(view, *args), data, follow=True)

    def test_self_guardian_and_organiser_read_it_and_nobody_else(self):
        self.keep(self.joe, by=self.ann, text="Nuts!")
        lead = make_volunteer(demonstration=self.place)
        make_gathering(demonstration=self.place, lead=lead)
        for person in (self.joe, self.ann, self.nora):
            response = self.get("about", self.joe.pk, by=person)
            self.assertContains(response, "Nuts!")
            assert "no-store" in response["Cache-Control"]
        for person in (self.bob, lead):
            assert self.get("about", self.joe.pk, by=person).status_code == 404
            assert self.get("note", self.joe.pk, by=person).status_code == 404
        for person in (make_volunteer(), make_organiser()):
            assert self.get("about", self.joe.pk, by=person).status_code == 403

    def test_a_note_past_its_day_is_not_shown_though_nobody_has_tidied(self):
        make_health_note(
            volunteer=self.ann,
            agreed_at=NOW - timedelta(days=20),
            delete_on=TODAY,
            text="Old news.",
        )
        self.assertNotContains(self.get("about", self.ann.pk), "Old news.")

    def test_the_queries_are_the_same_for_little_and_much(self):
        for size in (1, 6):
            for number in range(size):
                competence = make_competence(demonstration=self.place)
                make_skill(volunteer=self.joe, competence=competence)
                make_agreement(
                    volunteer=self.joe,
                    wording=make_wording(
                        demonstration=self.place, number=10 * size + number
                    ),
                )
            make_weighing(volunteer=self.joe, work=("feed", "drive")[size > 1])
            with self.assertNumQueries(8):
                page = selectors.about_page(
                    self.joe, reader=self.ann, is_organiser=False, now=NOW
                )
                told = [row.wording.number for row in page.history]
                said = [str(row.weighed_by) for row in page.weighed]
            assert len(told) >= size
            assert len(said) == (1 if size == 1 else 2)

    def test_a_note_is_written_changed_and_deleted(self):
        self.assertContains(self.get("note", self.ann.pk), "2027")
        data = {"text": "Bees.", "number": "1"}
        response = self.post("note", self.ann.pk, **data)
        assert set(response.context["form"].errors) == {"agreed"}
        self.assertContains(response, "Bees.")
        response = self.post("note", self.ann.pk, agreed="on", **data)
        self.assertContains(response, "Bees.")
        self.assertContains(response, "Deleted on")
        self.assertContains(self.get("note", self.ann.pk), "Bees.")
        response = self.post("take_back_note", self.ann.pk)
        self.assertContains(response, "No health note")

    def test_changed_words_are_shown_and_the_box_is_empty_again(self):
        wording = make_wording(
            demonstration=self.place, subject=Subject.HEALTH, number=2, text="Newer."
        )
        response = self.post("note", self.ann.pk, text="Bees.", number="1", agreed="on")
        self.assertContains(response, "The wording has changed")
        self.assertContains(response, "Newer.")
        self.assertContains(response, "Bees.")
        self.assertNotContains(response, "checked")
        self.assertContains(response, f'value="{wording.number}"')

    def test_photographs_are_agreed_to_and_taken_back(self):
        page = self.get("photographs", self.joe.pk)
        self.assertNotContains(page, "checked")
        response = self.post("photographs", self.joe.pk, number="1")
        assert set(response.context["form"].errors) == {"agreed"}
        response = self.post("photographs", self.joe.pk, number="1", agreed="on")
        self.assertContains(response, "to version 1 of the words")
        services.publish_wording(
            demonstration=self.place,
            subject=Subject.PHOTOGRAPH,
            text="Quite other words.",
            by=self.nora.user,
            now=NOW,
        )
        response = self.get("about", self.joe.pk)
        self.assertContains(response, "the words have changed")
        self.assertContains(response, "to version 1 of the words")
        agreement = self.joe.agreements.on(Subject.PHOTOGRAPH).get()
        back = reverse("privacy:take_back", args=[self.place.slug, agreement.pk])
        here = {"next": self.url("about", self.joe.pk)}
        for _twice in range(2):
            response = self.client.post(back, here, follow=True)
            self.assertContains(response, "Not agreed")

    def test_an_organiser_enters_a_paper_and_a_stranger_is_not_found(self):
        paper = make_volunteer(demonstration=self.place, user=None)
        self.assertContains(
            self.get("photographs", paper.pk, by=self.nora), "signed these words"
        )
        self.post("photographs", paper.pk, by=self.nora, number="1", agreed="on")
        assert paper.agreements.get().how == AgreedHow.PAPER
        for view in ("photographs", "take_back_note", "notice"):
            assert self.post(view, paper.pk, by=self.bob).status_code == 404

    def test_joining_shows_the_notice_and_keeps_which_version(self):
        user = make_user()
        self.client.force_login(user)
        self.assertContains(self.client.get(self.url("join")), "Version 1")
        for name, number, kept in (("Una", "7", 0), ("Una", "1", 1)):
            user = make_user()
            self.client.force_login(user)
            data = {"name": name, "age_band": "adult", "notice": number}
            self.client.post(self.url("join"), data)
            una = user.volunteers.get()
            assert una.agreements.count() == kept

    def test_a_changed_notice_is_shown_anew_and_read(self):
        self.post("notice", self.ann.pk, number="1")
        self.assertContains(self.get("about", self.ann.pk), "shown</span> version 1")
        make_wording(
            demonstration=self.place, subject=Subject.NOTICE, number=2, text="More."
        )
        response = self.get("about", self.ann.pk)
        self.assertContains(response, "the words have changed")
        self.assertContains(response, "More.")
        refused = self.post("notice", self.ann.pk, number="one")
        self.assertContains(refused, "The wording has changed")
        self.post("notice", self.ann.pk, number="2")
        self.assertContains(self.get("about", self.ann.pk), "shown</span> version 2")

    def test_words_are_the_organisers_to_publish(self):
        for view in ("words", "publish_photograph"):
            for person in (self.ann, make_organiser()):
                assert self.get(view, by=person).status_code == 403
            assert self.get(view, by=self.nora).status_code == 200
        response = self.post("publish_photograph", by=self.nora, text=" ")
        assert set(response.context["form"].errors) == {"text"}
        response = self.post("publish_photograph", by=self.nora, text="Other words.")
        self.assertContains(response, "Other words.")
        self.assertContains(response, "Version 2")
