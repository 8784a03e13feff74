"""Agreeing to words, and taking it back."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.people.agreements import selectors, services
from heritage.people.agreements.selectors import STARTING_WORDS
from heritage.people.competences import selectors as competences_selectors
from heritage.people.models import AgeBand, AgreedHow, Agreement, Subject
from tests.factories import (
    NOW,
    make_agreement,
    make_competence,
    make_demonstration,
    make_organiser,
    make_skill,
    make_user,
    make_volunteer,
    make_wording,
)

LATER = NOW + timedelta(hours=1)


def photograph_agreement(person):
    rows = person.agreements.standing().on(Subject.PHOTOGRAPH)
    return rows.newest_first().first()


class AgreementCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place}
        cls.nora = make_organiser(name="Nora Bell", **here)
        cls.ann = make_volunteer(name="Ann Rush", **here)
        cls.bob = make_volunteer(name="Bob Carr", **here)
        cls.joe = make_volunteer(
            name="Joe Rush", guardian=cls.ann, age_band=AgeBand.FROM_13, **here
        )

    def agree(self, person=None, by=None, number=1, subject=Subject.PHOTOGRAPH):
        person = person or self.ann
        return services.agree(
            volunteer=person,
            subject=subject,
            number=number,
            by=(by or person).user,
            now=NOW,
        )

    def publish(self, text="Other words.", by=None):
        return services.publish_wording(
            demonstration=self.place,
            subject=Subject.PHOTOGRAPH,
            text=text,
            by=(by or self.nora).user,
            now=NOW,
        )


class WordingTests(AgreementCase):
    def test_our_own_words_stand_until_others_are_published(self):
        words = selectors.current_words(self.place, Subject.PHOTOGRAPH)
        assert (words.number, words.published_at) == (1, None)
        assert words.text == STARTING_WORDS[Subject.PHOTOGRAPH]
        assert self.publish("We show you.").number == 2
        words = selectors.current_words(self.place, Subject.PHOTOGRAPH)
        assert (words.number, words.text) == (2, "We show you.")
        first = self.place.wordings.on(Subject.PHOTOGRAPH).last()
        assert first.text == STARTING_WORDS[Subject.PHOTOGRAPH]

    def test_all_words_are_one_query_for_one_version_or_many(self):
        for number in (1, 2, 3):
            make_wording(demonstration=self.place, number=number, text=f"v{number}")
            with self.assertNumQueries(1):
                words = selectors.all_words(self.place)
            assert words["photograph"].text == f"v{number}"
        assert words["notice"].text == STARTING_WORDS[Subject.NOTICE]

    def test_nothing_new_is_not_published(self):
        with pytest.raises(ValidationError, match="That's the wording already"):
            self.publish(STARTING_WORDS[Subject.PHOTOGRAPH] + "  \r\n")
        with pytest.raises(ValidationError, match="Enter the wording people will read"):
            self.publish("  \n ")

    def test_only_an_organiser_publishes(self):
        for person in (self.ann, make_organiser()):
            with pytest.raises(ValidationError, match="Only an organiser"):
                self.publish(by=person)


class AgreeTests(AgreementCase):
    def test_one_agrees_for_oneself_to_the_version_one_read(self):
        row = self.agree()
        assert (row.how, row.given_by, row.wording.number) == (
            AgreedHow.SCREEN,
            self.ann.user,
            1,
        )
        assert photograph_agreement(self.ann) == row
        assert photograph_agreement(self.bob) is None

    def test_words_that_changed_meanwhile_are_read_again(self):
        self.publish()
        with pytest.raises(ValidationError, match="The wording has changed") as refused:
            self.agree(number=1)
        assert "number" in refused.value.message_dict
        assert self.agree(number=2).wording.number == 2

    def test_nobody_agrees_twice_to_the_same_words(self):
        self.agree()
        with pytest.raises(ValidationError, match="has already agreed to this"):
            self.agree()

    def test_an_agreement_stays_with_its_words_when_they_change(self):
        row = self.agree()
        self.publish()
        assert photograph_agreement(self.ann).wording == row.wording
        newer = self.agree(number=2)
        assert photograph_agreement(self.ann) == newer
        row.refresh_from_db()
        assert row.withdrawn_at is None

    def test_a_guardian_agrees_for_a_child_and_nobody_else_does(self):
        assert self.agree(self.joe, by=self.ann).given_by == self.ann.user
        for other in (self.bob, self.nora, make_volunteer()):
            with pytest.raises(ValidationError, match="or their guardian can say this"):
                self.agree(self.ann, by=other)

    def test_a_child_under_16_does_not_agree_alone(self):
        with pytest.raises(ValidationError, match="is under 16: their guardian agrees"):
            self.agree(self.joe)
        self.joe.born_on = date(2010, 8, 12)
        self.joe.save(update_fields=["born_on"])
        assert self.agree(self.joe).given_by == self.joe.user

    def test_a_guardian_who_left_answers_for_nobody(self):
        self.ann.left_at = NOW
        self.ann.save(update_fields=["left_at"])
        with pytest.raises(ValidationError, match="or their guardian can say this"):
            self.agree(self.joe, by=self.ann)
        self.joe.left_at = NOW
        with pytest.raises(ValidationError, match="or their guardian can say this"):
            self.agree(self.joe)

    def test_an_organiser_writes_down_what_was_signed_on_paper(self):
        paper = make_volunteer(demonstration=self.place, user=None)
        entry = {"volunteer": paper, "subject": "photograph", "number": 1, "now": NOW}
        row = services.agree_on_paper(by=self.nora.user, **entry)
        assert row.how == AgreedHow.PAPER
        with pytest.raises(ValidationError, match="Only an organiser"):
            services.agree_on_paper(by=self.ann.user, **entry)

    def test_which_notice_was_read_is_kept_once(self):
        read = {"volunteer": self.ann, "number": 1, "by": self.ann.user}
        first = services.note_notice_read(now=NOW, **read)
        assert services.note_notice_read(now=LATER, **read) == first
        with pytest.raises(ValidationError, match="or their guardian can say this"):
            services.note_notice_read(now=NOW, **(read | {"by": self.bob.user}))


class WithdrawTests(AgreementCase):
    def test_taking_back_ends_every_standing_agreement_on_the_subject(self):
        first = self.agree()
        self.publish()
        newer = self.agree(number=2)
        other = make_agreement(
            volunteer=self.ann,
            wording=make_wording(demonstration=self.place, subject=Subject.HEALTH),
        )
        ended = services.withdraw(agreement=first, by=self.ann.user, now=LATER)
        assert ended == [newer, first]
        assert photograph_agreement(self.ann) is None
        standing = Agreement.objects.standing().get()
        assert standing == other
        first.refresh_from_db()
        assert (first.withdrawn_at, first.withdrawn_by) == (LATER, self.ann.user)
        assert services.withdraw(agreement=first, by=self.ann.user, now=LATER) == []
        assert self.agree(number=2).withdrawn_at is None

    def test_guardians_children_and_organisers_may_take_back_and_nobody_else(self):
        for person in (self.ann, self.joe, self.nora):
            row = self.agree(self.joe, by=self.ann)
            assert services.withdraw(agreement=row, by=person.user, now=LATER) == [row]
        row = self.agree(self.joe, by=self.ann)
        for user in (self.bob.user, make_user(), make_organiser().user):
            with pytest.raises(ValidationError, match="or their guardian can say this"):
                services.withdraw(agreement=row, by=user, now=LATER)


class FirstAiderTests(TestCase):
    def test_confirmed_current_grown_up_and_present(self):
        place = make_demonstration()
        here = {"demonstration": place}
        aid = make_competence(is_first_aid=True, **here)
        day = date(2026, 8, 13)

        def able(name, competence=aid, runs_out_on=None, **fields):
            person = make_volunteer(name=name, **here, **fields)
            said = {} if name != "Only said" else {"confirmed_by": None}
            return make_skill(
                volunteer=person,
                competence=competence,
                runs_out_on=runs_out_on,
                **said,
            ).volunteer

        cat = able("Cat")
        last_day = able("Dan", runs_out_on=day)
        able("Only said")
        able("Run out", runs_out_on=day - timedelta(days=1))
        able("Gone", left_at=NOW)
        able("Drives", competence=make_competence(**here))
        able("Young", age_band=AgeBand.FROM_16, guardian=cat)
        able("Turned 18", age_band="from_16", guardian=cat, born_on=date(2008, 8, 13))
        make_skill(competence=make_competence(is_first_aid=True))
        make_skill(volunteer=cat, competence=make_competence(is_first_aid=True, **here))
        with self.assertNumQueries(1):
            found = competences_selectors.first_aiders(place, day)
        assert found[:2] == [cat, last_day]
        assert [person.name for person in found[2:]] == ["Turned 18"]
