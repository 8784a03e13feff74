"""Complaints: from anybody, in time, never lost."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.privacy.complaining import selectors, services
from heritage.privacy.held import selectors as held_selectors
from heritage.privacy.models import Complaint
from tests.factories import NOW, make_complaint, make_complaint_step, make_organiser
from tests.privacy.world import make_home

DAY = timedelta(days=1)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class World(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home, cls.nora, cls.ann, cls.ned = make_home()
        cls.complaint = make_complaint(demonstration=cls.home)

    def address(self, name, *keys):
        return reverse(f"privacy:{name}", args=[self.home.slug, *keys])


class ServiceTests(World):
    def test_so_many_a_day_and_no_more(self):
        for number in range(services.IN_A_DAY - 1):
            services.complain(demonstration=self.home, about=f"{number}", now=NOW)
        with pytest.raises(ValidationError, match="Try again tomorrow"):
            services.complain(demonstration=self.home, about="One more", now=NOW)
        assert services.complain(demonstration=self.home, about="x", now=NOW + 2 * DAY)

    def test_it_says_something(self):
        with pytest.raises(ValidationError) as refusal:
            services.complain(demonstration=self.home, about="  ", now=NOW)
        assert "about" in refusal.value.message_dict

    def test_acknowledged_once_by_an_organiser(self):
        by = self.nora.user
        services.acknowledge(complaint=self.complaint, by=by, now=NOW)
        later = services.acknowledge(complaint=self.complaint, by=by, now=NOW + DAY)
        assert later.acknowledged_at == NOW
        with pytest.raises(ValidationError, match="Only an organiser"):
            services.acknowledge(complaint=self.complaint, by=self.ann.user, now=NOW)

    def test_an_answer_acknowledges_and_an_end_needs_words(self):
        by = self.nora.user
        step = services.answer(complaint=self.complaint, text="Done.", by=by, now=NOW)
        assert step.complaint.acknowledged_at == NOW
        with pytest.raises(ValidationError, match="Enter the outcome"):
            services.end(complaint=self.complaint, outcome=" ", by=by, now=NOW)
        services.end(complaint=self.complaint, outcome="Put right", by=by, now=NOW)
        for refused in (
            lambda: services.end(complaint=self.complaint, outcome="x", by=by, now=NOW),
            lambda: services.add_to(complaint=self.complaint, text="More", now=NOW),
        ):
            with pytest.raises(ValidationError, match="has ended"):
                refused()

    def test_whoever_complained_writes_so_much_until_an_answer(self):
        for number in range(5):
            services.add_to(complaint=self.complaint, text=f"{number}", now=NOW)
        with pytest.raises(ValidationError, match="wait for an answer"):
            services.add_to(complaint=self.complaint, text="Again", now=NOW)
        services.answer(
            complaint=self.complaint, text="Soon.", by=self.nora.user, now=NOW + DAY
        )
        assert services.add_to(complaint=self.complaint, text="Thanks", now=NOW + DAY)


class LimitTests(World):
    def test_thirty_days_are_counted_down(self):
        for passed, left in ((0, 30), (29, 1), (30, 0), (33, -3)):
            page = selectors.complaints_page(self.home, NOW + passed * DAY)
            [line] = page.waiting
            assert (line.days_left, line.is_late) == (left, left < 0)
        assert line.days_late == 3

    def test_they_stand_where_they_are(self):
        held = {"acknowledged_at": NOW, "acknowledged_by": self.nora.user}
        looked_at = make_complaint(demonstration=self.home, **held)
        ended = make_complaint(
            demonstration=self.home, closed_at=NOW, outcome="Put right", **held
        )
        with self.assertNumQueries(1):
            page = selectors.complaints_page(self.home, NOW)
        found = [[line.complaint for line in lines]
                 for lines in (page.waiting, page.open, page.ended)]  # fmt: skip
        assert found == [[self.complaint], [looked_at], [ended]]


class ConstraintTests(World):
    def refused(self, name, **fields):
        with pytest.raises(IntegrityError, match=name), transaction.atomic():
            make_complaint(demonstration=self.home, **fields)

    def test_the_database_keeps_the_promise(self):
        self.refused("complaint_says_something", about="")
        self.refused("complaint_acknowledged_by_somebody", acknowledged_at=NOW)
        self.refused("complaint_ends_acknowledged", closed_at=NOW, outcome="Done")
        self.refused(
            "complaint_ends_acknowledged",
            closed_at=NOW,
            acknowledged_at=NOW,
            acknowledged_by=self.nora.user,
        )

    def test_they_are_named(self):
        assert str(self.complaint) == "2026-08-12"
        assert str(make_complaint_step(complaint=self.complaint)).startswith("The")


class PageTests(World):
    def test_a_visitor_complains_and_follows_it(self):
        answer = self.client.post(self.address("complain"), {"about": "My name"})
        made = Complaint.objects.of(self.home).latest("pk")
        assert answer.url == self.address("follow", made.key)
        page = self.client.get(answer.url)
        assert "11 September 2026" in page.content.decode()
        assert page["Referrer-Policy"] == "no-referrer"
        assert "no-store" in page["Cache-Control"]
        self.client.post(answer.url, {"text": "And my telephone"})
        services.answer(complaint=made, text="Sorry.", by=self.nora.user, now=NOW)
        text = self.client.get(answer.url).content.decode()
        assert "And my telephone" in text
        assert "Sorry." in text
        assert str(self.nora.user) not in text

    def test_no_key_no_complaint(self):
        assert self.client.get(self.address("follow", "no-such-key")).status_code == 404
        other = make_complaint()
        assert self.client.get(self.address("follow", other.key)).status_code == 404

    def test_bad_input_names_the_field_and_keeps_the_rest(self):
        answer = self.client.post(self.address("complain"), {"name": "Ann Rush"})
        assert answer.context["form"].errors.keys() == {"about"}
        assert "Ann Rush" in answer.content.decode()

    def test_an_account_is_remembered_with_it(self):
        self.client.force_login(self.ann.user)
        self.client.post(self.address("complain"), {"about": "My name"})
        assert Complaint.objects.latest("pk").made_by == self.ann.user
        held = str(held_selectors.held(self.ann, NOW).parts)
        assert "My name" in held

    def test_the_organiser_s_pages(self):
        self.client.force_login(self.nora.user)
        listed = self.client.get(self.address("complaints")).content.decode()
        assert "30 days left" in listed
        one = self.address("complaint", self.complaint.pk)
        acknowledge = self.address("acknowledge", self.complaint.pk)
        text = self.client.post(acknowledge, follow=True).content.decode()
        assert f"Acknowledged by {self.nora.user}" in text
        self.client.post(one, {"text": "We took it down."})
        wrong = self.client.post(self.address("end", self.complaint.pk), {})
        assert wrong.context["outcome"].errors.keys() == {"outcome"}
        wrong = self.client.post(one, {})
        assert wrong.context["form"].errors.keys() == {"text"}
        self.client.post(self.address("end", self.complaint.pk), {"outcome": "Gone."})
        text = self.client.get(one).content.decode()
        assert "We took it down." in text
        assert "Gone." in text

    def test_organisers_of_here_alone(self):
        for user, status in ((self.ann.user, 403), (make_organiser().user, 403)):
            self.client.force_login(user)
            assert self.client.get(self.address("complaints")).status_code == status
        self.client.force_login(self.nora.user)
        other = make_complaint()
        assert self.client.get(self.address("complaint", other.pk)).status_code == 404
