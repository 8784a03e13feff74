"""Everybody out, from the field page: slips, the plain stop page, and a phone."""

import uuid
from datetime import timedelta

import pytest
from django.contrib.staticfiles.testing import StaticLiveServerTestCase
from django.urls import reverse
from playwright.sync_api import expect

from heritage.common import clock
from heritage.fieldlog.models import Outcome, Receipt, Thunder
from heritage.fieldlog.selectors import field_state, stop_page
from heritage.gatherings.gate.selectors import head_count
from heritage.gatherings.models import Muster, Safe, Turnout
from heritage.people.models import Volunteer
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.fieldlog.phone import Phone
from tests.fieldlog.test_services import Evening

MINUTE = timedelta(minutes=1)


class SlipTests(Evening):
    def setUp(self):
        make_turnout(
            gathering=self.gathering,
            volunteer=self.ann,
            arrived_at=NOW - 30 * MINUTE,
            left_at=None,
        )

    def person(self):
        return {"person": str(self.ann.pk)}

    def test_called_seen_taken_back_seen_and_ended(self):
        key = uuid.uuid4()
        self.kept("muster", key=key)
        self.kept("muster")
        assert Muster.objects.get().key == key
        self.kept("seen", **self.person())
        self.kept("unseen", **self.person())
        refused = self.receive("counted", note="")
        assert refused.outcome == Outcome.REFUSED
        assert "Not seen: Ann Birch" in refused.words
        self.kept("seen", **self.person())
        state = field_state(self.gathering, NOW)
        assert state.muster is not None
        assert [one.safe for one in state.people] == [True]
        self.kept("counted", note="")
        assert field_state(self.gathering, NOW).muster is None
        assert Safe.objects.get().seen_by == self.lead.user

    def test_what_was_seen_is_heard_of_after_it_ended(self):
        """The second phone had no signal while the first ended the count."""
        self.kept("muster")
        self.kept("counted", note="Ann went home with her sister.")
        self.kept("seen", **self.person())
        assert Safe.objects.get().volunteer == self.ann

    def test_nobody_is_seen_before_anybody_was_called(self):
        refused = self.receive("seen", **self.person())
        assert (refused.outcome, refused.words) == (
            Outcome.REFUSED,
            "Nobody has called everybody out.",
        )

    def test_a_known_head_count_costs_three_queries_more(self):
        self.kept("muster")
        with self.assertNumQueries(20):
            field_state(self.gathering, NOW)


class StopPageTests(Evening):
    def setUp(self):
        patch = self.enterContext(pytest.MonkeyPatch.context())
        patch.setattr("heritage.common.clock.now", lambda: NOW)
        self.path = reverse(
            "fieldlog:stop", args=[self.demonstration.slug, self.gathering.pk]
        )
        self.client.force_login(self.lead.user)

    def hear(self, at):
        Thunder.objects.create(gathering=self.gathering, at=at, by=self.lead.user)

    def test_a_press_starts_the_wait_and_another_starts_it_anew(self):
        self.hear(NOW - 20 * MINUTE)
        page = stop_page(self.gathering, NOW)
        assert (page.is_held, page.hold_minutes) == (True, 10)
        answer = self.client.post(self.path, follow=True)
        self.assertContains(
            answer, "<strong>30</strong> minutes to wait yet", html=False
        )
        assert Thunder.objects.count() == 2

    def test_the_wait_ends_after_thirty_minutes_to_the_second(self):
        """30/30: thirty minutes after the last thunder (see tests/outside)."""
        self.hear(NOW - 30 * MINUTE)
        page = stop_page(self.gathering, NOW)
        assert (page.is_held, page.hold_minutes) == (False, 0)
        assert stop_page(self.gathering, NOW - MINUTE / 60).hold_minutes == 1
        self.assertContains(self.client.get(self.path), "The wait ended at 18:40")

    def test_the_light_counts_down_for_machines_and_for_everybody(self):
        page = stop_page(self.gathering, NOW)
        sunset, stop = page.light.sunset, page.light.stop
        assert page.sunset_minutes == -((NOW - sunset) // MINUTE)
        assert 0 < page.sunset_minutes < page.stop_minutes
        late = stop_page(self.gathering, stop + MINUTE)
        assert (late.sunset_minutes, late.stop_minutes) == (0, 0)
        answer = self.client.get(self.path)
        self.assertContains(answer, "they stop by sunset")
        self.assertContains(answer, page.light_left)
        assert page.light_left.startswith("2 h")
        assert late.light_left == "0 min"

    def test_it_costs_two_queries(self):
        with self.assertNumQueries(2):
            stop_page(self.gathering, NOW)

    def test_where_the_sun_stays_up_there_is_no_hour_to_stop(self):
        far = make_demonstration(latitude=70, longitude=25, time_zone="Europe/Oslo")
        june = NOW.replace(month=6)
        gathering = make_gathering(
            demonstration=far, starts_at=june, ends_at=june + 60 * MINUTE
        )
        page = stop_page(gathering, june)
        assert (page.stop_minutes, page.sunset_minutes) == (None, None)


@pytest.mark.browser
@pytest.mark.any_database
class PhoneTests(StaticLiveServerTestCase):
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
            starts_at=now - 60 * MINUTE,
            ends_at=now + 120 * MINUTE,
        )
        bands = make_station(gathering=self.gathering, title="Lay bands")
        for name in ("Ann Birch", "Bob Tarrant"):
            person = make_volunteer(
                demonstration=self.demonstration, name=name, user=None
            )
            make_sign_up(station=bands, volunteer=person)
            make_turnout(
                gathering=self.gathering,
                volunteer=person,
                arrived_at=now - 50 * MINUTE,
                left_at=None,
            )

    def phone(self):
        path = reverse(
            "fieldlog:field", args=[self.demonstration.slug, self.gathering.pk]
        )
        phone = Phone(self.browser, self.live_server_url, path)
        phone.switch_on()
        self.addCleanup(phone.throw_away)
        phone.sign_in(self.lead.user)
        return phone

    def test_whatever_the_phones_clock_says_everybody_shown_here_is_counted(self):
        """Slow, then fast, then a day off: those here are counted, and who comes."""
        cara = make_volunteer(
            demonstration=self.demonstration, name="Cara Moss", user=None
        )
        make_sign_up(
            station=self.gathering.stations.get(title="Lay bands"), volunteer=cara
        )
        # Bob's going home is written down ahead, as the list of who came does.
        Turnout.objects.filter(volunteer__name="Bob Tarrant").update(
            left_at=clock.now() + 30 * MINUTE
        )
        phone = self.phone()
        phone.page.clock.set_fixed_time(clock.now() - 10 * MINUTE)
        phone.open_and_keep()
        phone.signal(False)
        banner = phone.page.locator("#log-out-banner")
        here = phone.page.locator("#log-here-count")
        phone.page.clock.set_fixed_time(clock.now() - timedelta(days=1))
        expect(here).to_have_text("(2)")
        phone.page.get_by_role("button", name="Everybody out").click()
        expect(banner).to_contain_text("2 of 2 not seen yet")
        phone.page.clock.set_fixed_time(clock.now() + timedelta(days=1))
        phone.tap("Came", "Cara Moss")
        expect(banner).to_contain_text("3 of 3 not seen yet")
        phone.leave("Cara Moss")
        phone.tap("Seen", "Bob Tarrant")
        expect(banner).to_contain_text("2 of 3 not seen yet")
        phone.page.clock.set_fixed_time(clock.now() - 10 * MINUTE)
        phone.signal(True)
        phone.says("4 sent.", patience=40)
        expect(banner).to_contain_text("2 of 3 not seen yet")
        page = head_count(self.gathering, clock.now())
        assert [one.volunteer.name for one in page.people] == [
            "Ann Birch",
            "Bob Tarrant",
            "Cara Moss",
        ]

    def test_with_nobody_here_it_says_so(self):
        Turnout.objects.all().delete()
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        phone.page.get_by_role("button", name="Everybody out").click()
        banner = phone.page.locator("#log-out-banner")
        expect(banner).to_contain_text("Nobody was marked here")
        expect(banner).not_to_contain_text("have been seen")
        expect(phone.page.locator("#log-out-nobody")).to_be_visible()

    def test_everybody_is_counted_without_a_signal_and_nothing_is_lost(self):
        phone = self.phone()
        phone.open_and_keep()
        phone.signal(False)
        phone.unfold("Somebody else came")
        phone.page.get_by_label("Their name").fill("Dora Vale")
        phone.page.get_by_role("button", name="Add them").click()
        dora = phone.page.locator("#log-here li").filter(has_text="Dora Vale")
        expect(dora).to_contain_text("no station yet")
        phone.page.get_by_role("button", name="Everybody out").click()
        banner = phone.page.locator("#log-out-banner")
        expect(banner).to_contain_text("3 of 3 not seen yet")
        for name in ("Ann Birch", "Dora Vale"):
            phone.tap("Seen", name)
        expect(banner).to_contain_text("1 of 3 not seen yet")
        phone.tap("Not seen after all", "Ann Birch")
        expect(banner).to_contain_text("2 of 3 not seen yet")
        phone.tap("Seen", "Ann Birch")
        # Nothing is shown before it is saved: what is shown outlives the page.
        expect(banner).to_contain_text("1 of 3 not seen yet")
        phone.page.reload()
        expect(banner).to_contain_text("1 of 3 not seen yet")
        missing = phone.page.locator("#log-out-missing")
        expect(missing).to_have_text("Not seen yet: Bob Tarrant (Lay bands).")
        end = phone.page.get_by_role("button", name="End the head-count")
        end.click()
        # The page asks for words about whoever is missing before it ends anything.
        expect(banner).to_be_visible()
        phone.page.get_by_label("How it ended").fill("Bob is at home: he telephoned.")
        end.click()
        expect(banner).to_be_hidden()
        phone.signal(True)
        phone.says("7 sent.", patience=40)
        assert Receipt.objects.filter(outcome=Outcome.KEPT).count() == 7
        muster = Muster.objects.get()
        assert muster.note == "Bob is at home: he telephoned."
        seen = {row.volunteer.name for row in muster.safe.select_related("volunteer")}
        assert seen == {"Ann Birch", "Dora Vale"}
        assert Volunteer.objects.filter(name="Dora Vale").count() == 1
        assert [text for text in phone.said if text.startswith("Error")] == []
