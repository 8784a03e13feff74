"""The log of a child lost or found."""

from datetime import date, timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.test import TestCase
from django.urls import reverse

from heritage.briefings.emergency import selectors as emergency_selectors
from heritage.common import clock
from heritage.incidents.children import selectors, services
from heritage.incidents.children.sheets import child_sheet
from heritage.incidents.models import ChildStep, LostChild
from tests.briefings.test_sheets import text_of
from tests.factories import (
    NOW,
    make_demonstration,
    make_emergency_plan,
    make_gathering,
    make_lost_child,
    make_organiser,
    make_volunteer,
)
from tests.people.world import make_keeper

LOST = {
    "matter": "lost",
    "reporter": "Her aunt, at the gate",
    "looks": "Green coat",
    "last_seen": "By the stooks",
}
ENDED = {
    "outcome": "Found by the hedge",
    "went_to": "Her aunt",
    "checked_by": "Nora Bell",
}


class ChildCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place).user
        cls.lead = make_volunteer(demonstration=cls.place)
        cls.ann = make_volunteer(demonstration=cls.place).user

    def open(self, now=NOW, **said):
        return services.open_child_log(
            demonstration=self.place, values=LOST | said, by=self.nora, now=now
        )

    def press(self, log, step, now=NOW):
        services.press_child_step(log=log, step=step, by=self.nora, now=now)

    def end(self, log, now=NOW, **said):
        return services.end_child_log(
            log=log, values=ENDED | said, by=self.nora, now=now
        )

    def url(self, view, *args):
        return reverse(f"incidents:{view}", args=[self.place.slug, *args])


class ServiceTests(ChildCase):
    def test_opened_it_is_kept_a_year(self):
        assert self.open().delete_on == date(2027, 8, 12)

    def test_what_nobody_could_look_for_is_refused(self):
        with pytest.raises(ValidationError, match="looks"):
            self.open(looks="")

    def test_a_step_is_pressed_once(self):
        log = self.open()
        self.press(log, "exits")
        self.press(log, "exits", NOW + timedelta(minutes=3))
        assert ChildStep.objects.get().at == NOW
        with pytest.raises(ValidationError, match="Choose a step from the list"):
            self.press(log, "content")

    def test_the_police_are_called_once(self):
        log = self.open()
        for minute in (3, 9):
            services.note_police_called(
                log=log, by=self.nora, now=NOW + timedelta(minutes=minute)
            )
        log.refresh_from_db()
        assert log.police_called_at == NOW + timedelta(minutes=3)
        assert ChildStep.objects.count() == 1

    def test_it_ends_with_three_answers(self):
        log = self.open()
        with pytest.raises(ValidationError) as refusal:
            self.end(log, outcome="", went_to="", checked_by="")
        assert set(refusal.value.error_dict) == set(ENDED)
        ended = self.end(log, NOW + timedelta(days=1))
        assert ended.delete_on == date(2027, 8, 13)

    def test_nobody_leaves_with_a_found_child_unchecked(self):
        log = self.open(matter="found")
        with pytest.raises(ValidationError, match="before that"):
            self.end(log)
        for step in ("checked", "content"):
            self.press(log, step)
        assert self.end(log).closed_by == self.nora

    def test_an_ended_log_takes_nothing_more(self):
        log = self.open()
        self.end(log)
        said = {"log": log, "by": self.nora, "now": NOW}
        for write in (
            lambda: self.press(log, "exits"),
            lambda: self.end(log),
            lambda: services.note_police_called(**said),
            lambda: services.note_of_child(text="Late", **said),
        ):
            with pytest.raises(ValidationError, match="has ended"):
                write()

    def test_deleted_with_its_lines_once_it_is_due_and_has_ended(self):
        log, still_open = self.open(), self.open()
        self.press(log, "exits")
        self.end(log)
        assert not LostChild.objects.due(date(2027, 8, 11)).exists()
        LostChild.objects.due(date(2027, 8, 12)).delete()
        assert LostChild.objects.get() == still_open
        assert not ChildStep.objects.exists()

    def test_the_database_keeps_its_promises(self):
        with pytest.raises(IntegrityError, match="lost_child_ends_with_words"):
            make_lost_child(demonstration=self.place, closed_at=NOW)

    def test_and_knows_what_the_matter_may_be(self):
        with pytest.raises(IntegrityError, match="lost_child_known"):
            make_lost_child(demonstration=self.place, matter="gone")


class DoorTests(ChildCase):
    def kept(self, user, now):
        return LostChild.objects.kept_by(user, now).exists()

    def test_leads_keep_logs_from_twelve_hours_before_to_twelve_after(self):
        self.open()
        start, end = NOW, NOW + timedelta(hours=3)
        make_gathering(
            demonstration=self.place, lead=self.lead, starts_at=start, ends_at=end
        )
        half_day, moment = timedelta(hours=12), timedelta(minutes=1)
        for now, is_theirs in (
            (start - half_day - moment, False),
            (start - half_day, True),
            (end + half_day, True),
            (end + half_day + moment, False),
        ):
            with self.subTest(now=now):
                assert self.kept(self.lead.user, now) is is_theirs
                may = selectors.may_keep_logs(self.place, self.lead.user, now)
                assert may is is_theirs
        assert not self.kept(self.ann, start)

    def test_organisers_and_the_keeper_at_any_hour(self):
        self.open()
        assert self.kept(self.nora, NOW)
        assert self.kept(make_keeper(), NOW)
        elsewhere = make_organiser(demonstration=make_demonstration())
        assert not self.kept(elsewhere.user, NOW)


class SelectorTests(ChildCase):
    def test_the_prompt_comes_at_ten_minutes_and_goes_with_the_call(self):
        log = self.open()
        for minutes, is_due in ((9, False), (10, True)):
            page = selectors.child_page(log, NOW + timedelta(minutes=minutes))
            assert (page.minutes, page.is_call_due) == (minutes, is_due)
        log = services.note_police_called(log=log, by=self.nora, now=NOW)
        police = selectors.child_page(log, NOW).steps[2]
        assert (police.is_police, bool(police.done)) == (True, True)
        assert not selectors.child_page(log, NOW + timedelta(hours=1)).is_call_due

    def test_no_prompt_for_a_child_that_is_found(self):
        log = self.open(matter="found")
        page = selectors.child_page(log, NOW + timedelta(hours=1))
        assert not page.is_call_due
        assert page.is_open

    def test_pages_cost_the_same_however_long_the_log(self):
        make_emergency_plan(demonstration=self.place, lost_child="The tea table")
        log = self.open()
        for _each in range(2):
            services.note_of_child(log=log, text="Seen", by=self.nora, now=NOW)
            self.open()
            with self.assertNumQueries(2):
                assert selectors.child_page(log, NOW).place == "The tea table"
            with self.assertNumQueries(3):
                selectors.children_page(self.place, self.ann, NOW, organises=False)
            with self.assertNumQueries(2):
                selectors.children_page(self.place, self.nora, NOW, organises=True)


class PageTests(ChildCase):
    def tonight(self):
        now = clock.now()
        make_gathering(
            demonstration=self.place,
            lead=self.lead,
            starts_at=now,
            ends_at=now + timedelta(hours=2),
        )

    def test_a_lead_keeps_a_log_from_opening_to_end(self):
        self.tonight()
        self.client.force_login(self.lead.user)
        asked = self.client.get(self.url("open_child_log"), {"matter": "found"})
        self.assertContains(asked, "Don't call out the name")
        response = self.client.post(
            self.url("open_child_log"), LOST | {"matter": "found"}, follow=True
        )
        self.assertContains(response, "Call 999")
        pk = LostChild.objects.get().pk
        for step in ("checked", "content"):
            self.client.post(self.url("press_child_step", pk), {"step": step})
        self.client.post(self.url("note_police_called", pk))
        self.client.post(self.url("child_log", pk), {"text": "Two with her"})
        response = self.client.post(self.url("end_child_log", pk), ENDED, follow=True)
        self.assertContains(response, "Found by the hedge")
        self.assertContains(response, "Two with her")
        assert "no-store" in response["Cache-Control"]

    def test_what_is_missing_is_named_and_the_rest_kept(self):
        self.client.force_login(self.nora)
        response = self.client.post(
            self.url("open_child_log"), LOST | {"matter": "", "looks": ""}
        )
        assert set(response.context["form"].errors) == {"matter", "looks"}
        self.assertContains(response, "By the stooks")
        log = self.open()
        response = self.client.post(self.url("child_log", log.pk), {"text": ""})
        assert "text" in response.context["form"].errors
        response = self.client.post(
            self.url("end_child_log", log.pk), ENDED | {"went_to": ""}
        )
        assert "went_to" in response.context["form"].errors
        response = self.client.post(
            self.url("press_child_step", log.pk), {"step": "fly"}, follow=True
        )
        self.assertContains(response, "Choose a step from the list")

    def test_everybody_reads_what_to_do_and_nobody_else_the_logs(self):
        self.tonight()
        log = self.open(now=clock.now(), looks="Yellow boots")
        for user, reads in (
            (self.ann, False),
            (self.lead.user, True),
            (self.nora, True),
        ):
            self.client.force_login(user)
            response = self.client.get(self.url("lost_children"))
            self.assertContains(response, "Never call out the name")
            assert (b"Yellow boots" in response.content) is reads
            for view in (
                self.url("child_log", log.pk),
                self.url("end_child_log", log.pk),
                self.url("open_child_log"),
            ):
                status = self.client.get(view).status_code
                assert status == (200 if reads else 404)

    def test_nobody_else_writes(self):
        log = self.open()
        for view in ("press_child_step", "note_police_called", "end_child_log"):
            self.client.force_login(self.ann)
            response = self.client.post(self.url(view, log.pk), ENDED)
            assert response.status_code == 404

    def test_after_ten_minutes_the_page_says_call(self):
        self.client.force_login(self.nora)
        log = self.open(now=clock.now() - timedelta(minutes=11))
        response = self.client.get(self.url("child_log", log.pk))
        self.assertContains(response, "Call the police now")

    def test_the_form_to_fill_in_by_hand(self):
        make_emergency_plan(demonstration=self.place, lost_child="The tea table")
        page = emergency_selectors.emergency_page(self.place)
        for large in (False, True):
            pdf = child_sheet(page, printed_on=date(2026, 8, 12), large_print=large)
            text = text_of(pdf)
            for words in ("Do not call out the name", "The tea table", "999 or 112"):
                assert words in text
            # The order of the screen: the police before the search.
            assert text.index("Call the police") < text.index("Have every way out")
        self.client.force_login(self.ann)
        response = self.client.get(self.url("child_sheet"))
        assert response["Content-Type"] == "application/pdf"
