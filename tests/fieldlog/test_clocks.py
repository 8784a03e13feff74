"""The field page in a real browser whose clock is wrong, or is set while it is used."""

import re
from datetime import timedelta

import pytest
from django.contrib.staticfiles.testing import StaticLiveServerTestCase
from django.urls import reverse
from playwright.sync_api import expect

from heritage.common import clock
from heritage.fieldlog.models import Receipt, Thunder
from heritage.gatherings.models import Gathering, Muster
from tests.factories import (
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.fieldlog.phone import Phone

MINUTE, HOUR, DAY = timedelta(minutes=1), timedelta(hours=1), timedelta(days=1)
# A clock that was wrong all along, by this much.
WRONG = [2 * DAY, -40 * MINUTE]
# A clock that is set while the page is open.
SET = [DAY, -2 * HOUR, 40 * MINUTE]


@pytest.mark.browser
@pytest.mark.any_database
class ClockTests(StaticLiveServerTestCase):
    @pytest.fixture(autouse=True)
    def _with_browser(self, chromium):
        self.browser = chromium

    def setUp(self):
        now = clock.now()
        self.demonstration = make_demonstration()
        self.lead = make_organiser(demonstration=self.demonstration, name="Orla Fenn")
        self.gathering = make_gathering(
            demonstration=self.demonstration,
            lead=self.lead,
            starts_at=now - HOUR,
            ends_at=now + 2 * HOUR,
        )
        station = make_station(gathering=self.gathering, places=5)
        for name in ("Ann Birch", "Bob Tarrant"):
            person = make_volunteer(
                demonstration=self.demonstration, name=name, user=None
            )
            make_sign_up(station=station, volunteer=person)
            make_turnout(
                gathering=self.gathering,
                volunteer=person,
                arrived_at=now - 50 * MINUTE,
                left_at=None,
            )
        self.slug = self.demonstration.slug

    def phone(self, out=timedelta()):
        path = reverse("fieldlog:field", args=[self.slug, self.gathering.pk])
        phone = Phone(self.browser, self.live_server_url, path)
        phone.switch_on()
        self.addCleanup(phone.throw_away)
        phone.sign_in(self.lead.user)
        phone.page.goto(self.live_server_url + "/alive/")
        phone.set_clock(out)
        self.open_list(phone)
        phone.open_and_keep()
        return phone

    def open_list(self, phone):
        phone.page.goto(
            self.live_server_url + reverse("fieldlog:list", args=[self.slug])
        )
        phone.page.wait_for_load_state("networkidle")

    def call_out(self, phone):
        phone.page.get_by_role("button", name="Everybody out").click()
        expect(phone.page.locator("#log-out-banner")).to_contain_text("2 of 2 not seen")

    def is_counted(self, phone):
        """Say that the head-count is there, of both, as called now."""
        banner = phone.page.locator("#log-out-banner")
        expect(banner).to_contain_text("2 of 2 not seen")
        zone = self.demonstration.zone
        minutes = [(clock.now() - n * MINUTE).astimezone(zone) for n in range(3)]
        hours = "|".join(f"{minute:%H:%M}" for minute in minutes)
        expect(banner).to_contain_text(re.compile(f"called ({hours})"))
        expect(phone.page.locator("#log-state")).not_to_contain_text("closed")

    def test_a_running_count_opens_from_the_list_whatever_the_clock_says(self):
        for out in WRONG:
            phone = self.phone(out)
            phone.signal(False)
            self.call_out(phone)
            self.open_list(phone)
            phone.open()
            self.is_counted(phone)
            phone.throw_away()

    def test_a_page_opens_from_the_list_though_all_was_sent(self):
        """Nobody is being counted and nothing waits: people stand in the field."""
        for out in WRONG:
            phone = self.phone(out)
            phone.tap("+1", "Ann Birch")
            phone.says("1 sent.")
            self.open_list(phone)
            phone.signal(False)
            self.open_list(phone)
            phone.open()
            expect(phone.page.locator("#log-here .log-name")).to_have_text(
                ["Ann Birch", "Bob Tarrant"]
            )
            phone.throw_away()

    def test_a_clock_set_amid_a_count_changes_nothing(self):
        for out in SET:
            phone = self.phone()
            phone.signal(False)
            self.call_out(phone)
            phone.set_clock(out)
            phone.page.wait_for_timeout(1500)
            self.is_counted(phone)
            phone.page.reload()
            self.is_counted(phone)
            self.open_list(phone)
            phone.open()
            self.is_counted(phone)
            phone.throw_away()

    def test_a_clock_set_while_the_phone_was_off_loses_no_count(self):
        for out in SET:
            phone = self.phone()
            phone.signal(False)
            self.call_out(phone)
            self.open_list(phone)
            phone.set_clock(out)
            self.open_list(phone)
            phone.open()
            banner = phone.page.locator("#log-out-banner")
            expect(banner).to_contain_text("2 of 2 not seen")
            expect(phone.page.locator("#log-state")).not_to_contain_text("closed")
            phone.throw_away()

    def test_what_waited_counts_from_when_it_was_pressed(self):
        for out in SET:
            phone = self.phone()
            phone.signal(False)
            # The phone counts in whole milliseconds.
            begun = clock.now() - timedelta(milliseconds=100)
            phone.leave("Ann Birch")
            phone.set_clock(out)
            phone.page.wait_for_timeout(1500)
            phone.come_back("Ann Birch")
            phone.signal(True)
            phone.says("2 sent.", patience=40)
            rows = Receipt.objects.all()
            assert {row.outcome for row in rows} == {"kept"}
            counted = [row.counts_from for row in rows]
            ended = clock.now()
            assert all(begun <= one <= ended for one in counted), (out, counted)
            phone.throw_away()
            rows.delete()

    def test_the_wait_after_thunder_is_not_cut_short(self):
        for out in SET:
            phone = self.phone()
            phone.signal(False)
            phone.hear_thunder()
            hold = phone.page.locator("#log-hold")
            expect(hold).to_contain_text("30 min left")
            phone.set_clock(out)
            phone.page.wait_for_timeout(1500)
            expect(hold).to_contain_text(re.compile("(30|29) min left"))
            phone.page.reload()
            expect(hold).to_contain_text(re.compile("(30|29) min left"))
            phone.throw_away()

    def test_the_wait_ends_with_words_that_stay_until_they_are_closed(self):
        heard = clock.now() - 29 * MINUTE - timedelta(seconds=45)
        Thunder.objects.create(gathering=self.gathering, at=heard, by=self.lead.user)
        phone = self.phone()
        phone.signal(False)
        hold = phone.page.locator("#log-hold")
        expect(hold).to_contain_text(
            "You decide whether the sky is safe", timeout=40_000
        )
        phone.page.reload()
        expect(hold).to_contain_text("You decide whether the sky is safe")
        hold.get_by_role("button", name="Close this").click()
        expect(hold).to_be_hidden()
        phone.page.reload()
        phone.says("No signal")
        expect(hold).to_be_hidden()
        phone.hear_thunder()
        expect(hold).to_contain_text("30 min left")

    def test_the_names_go_when_the_server_says_that_it_has_closed(self):
        """Though somebody is still marked here, and whatever the phone's clock says."""
        phone = self.phone(-2 * DAY)
        past = clock.now() - 7 * HOUR
        Gathering.objects.update(starts_at=past - 2 * HOUR, ends_at=past)
        self.open_list(phone)
        phone.open()
        expect(phone.page.locator("#log-state")).to_contain_text("has closed")
        assert (phone.names(), phone.path in phone.kept_pages()) == ([], False)
        assert not Muster.objects.exists()
