"""A name written in on a phone that somebody bears already: one person, or two."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse

from heritage.desk.today.selectors import today
from heritage.fieldlog.models import Receipt
from heritage.fieldlog.services import receive
from heritage.gatherings.models import Turnout
from heritage.people.models import Volunteer
from heritage.privacy.merging import services
from heritage.privacy.models import Merge
from heritage.tally.models import Entry
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_user,
    make_volunteer,
)
from tests.fieldlog.slips import ENDS, STARTS, slip

MINUTE = timedelta(minutes=1)


class SettleTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        here = {"demonstration": cls.demonstration}
        cls.lead = make_volunteer(**here, name="Zoe Marl")
        cls.ann = make_volunteer(**here, name="Ann Birch", user=None)
        cls.stranger = make_volunteer(**here)
        cls.gathering = make_gathering(
            **here, lead=cls.lead, starts_at=STARTS, ends_at=ENDS
        )
        cls.send("came", person=cls.ann.pk, at=NOW - 9 * MINUTE)
        cls.receipt = cls.send("walk_in", name="Ann Birch", at=NOW - 20 * MINUTE)
        cls.send("beets", person=str(cls.receipt.key), count=4)

    @classmethod
    def send(cls, kind, **said):
        return receive(
            gathering=cls.gathering, slip=slip(kind, **said), by=cls.lead.user, now=NOW
        )

    def settle(self, same_as=None, by=None):
        return services.settle_name(
            receipt=self.receipt,
            same_as=same_as,
            by=(by or self.lead).user,
            now=NOW + MINUTE,
        )

    def test_the_same_person_keeps_the_beets_and_the_earlier_coming(self):
        gone = self.receipt.volunteer
        row = self.settle(self.ann)
        assert (row.volunteer, row.settled_by) == (self.ann, self.lead.user)
        assert Merge.objects.get().gone == gone
        assert Entry.objects.filter(volunteer=self.ann).beets() == 4
        assert Turnout.objects.get().arrived_at == NOW - 20 * MINUTE
        assert not Receipt.objects.to_settle().exists()

    def test_what_the_phone_still_sends_of_the_line_finds_them(self):
        self.settle(self.ann)
        late = self.send("beets", person=str(self.receipt.key), count=1)
        assert late.volunteer == self.ann

    def test_two_people_stay_two(self):
        self.settle()
        assert not Merge.objects.exists()
        assert Volunteer.objects.filter(name="Ann Birch").count() == 2
        assert not Receipt.objects.to_settle().exists()

    def test_what_was_settled_stands(self):
        self.settle()
        assert self.settle(self.ann).volunteer != self.ann
        assert not Merge.objects.exists()

    def test_a_lead_joins_only_lines_of_one_name(self):
        with pytest.raises(
            ValidationError,
            match="Their names differ, so only an organiser can join them",
        ):
            self.settle(self.stranger)

    def test_a_line_that_has_an_account_by_now_is_the_organisers(self):
        gone = self.receipt.volunteer
        gone.user = make_user()
        gone.save()
        with pytest.raises(ValidationError, match="organiser"):
            self.settle(self.ann)

    def test_nobody_but_the_lead_and_the_organisers(self):
        with pytest.raises(ValidationError, match="Only the lead"):
            self.settle(self.ann, by=self.stranger)

    def press(self, by=None, **said):
        self.client.force_login((by or self.lead).user)
        args = [self.demonstration.slug, self.receipt.pk]
        return self.client.post(
            reverse("privacy:settle_name", args=args), said, follow=True
        )

    def test_the_book_asks_and_takes_the_answer(self):
        self.client.force_login(self.lead.user)
        args = [self.demonstration.slug, self.gathering.pk]
        page = self.client.get(reverse("fieldlog:book", args=args))
        self.assertContains(page, "Same person?")
        self.assertContains(page, "here from")
        answer = self.press(same=self.ann.pk)
        self.assertContains(answer, "Name settled.")
        self.assertNotContains(answer, "Same person?")

    def test_the_day_asks_until_it_is_settled(self):
        words = "Who walked in at"
        assert any(words in one.words for one in self.todos())
        self.settle()
        assert not any(words in one.words for one in self.todos())

    def todos(self):
        boss = make_organiser(demonstration=self.demonstration)
        return today(self.demonstration, boss.user, NOW).todos

    def test_somebody_else_is_an_answer_too(self):
        self.press(other="1")
        assert not Receipt.objects.to_settle().exists()

    def test_nothing_and_nonsense_are_said_and_settle_nothing(self):
        self.assertContains(self.press(), "Press one of the buttons")
        self.assertContains(
            self.press(same="0"), "Nobody with that name is on the list now"
        )
        assert Receipt.objects.to_settle().exists()

    def test_it_is_not_there_for_others(self):
        assert self.press(by=self.stranger, other="1").status_code == 404
