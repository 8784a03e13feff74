"""A briefing read aloud without a signal: ticked, sent, and the stations it opens."""

from datetime import timedelta

import pytest
from django.contrib.staticfiles.testing import StaticLiveServerTestCase
from django.urls import reverse
from playwright.sync_api import expect

from heritage.briefings.models import Acknowledgement, HeardHow
from heritage.common import clock
from heritage.fieldlog.models import Outcome, Receipt
from heritage.fieldlog.selectors import field_state
from heritage.gatherings.models import SignUp
from heritage.people.models import Volunteer
from tests.factories import (
    NOW,
    make_briefing,
    make_briefing_version,
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


class HeardTests(Evening):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.briefing = make_briefing(demonstration=cls.demonstration, title="Pulling")
        cls.version = make_briefing_version(briefing=cls.briefing)
        cls.station = make_station(
            gathering=cls.gathering, title="Pull", briefing=cls.briefing
        )
        make_turnout(
            gathering=cls.gathering,
            volunteer=cls.ann,
            arrived_at=NOW - 30 * MINUTE,
            left_at=None,
        )

    def heard(self, **said):
        said = {
            "person": str(self.ann.pk),
            "version": str(self.version.pk),
            "reader": str(self.lead.pk),
        } | said
        return self.receive("heard", **said)

    def test_it_keeps_the_version_who_read_it_and_when(self):
        receipt = self.heard(at=NOW - 9 * MINUTE)
        assert receipt.outcome == Outcome.KEPT, receipt.words
        row = Acknowledgement.objects.get()
        assert (row.version, row.volunteer) == (self.version, self.ann)
        assert (row.read_by, row.recorded_by) == (self.lead, self.lead.user)
        assert (row.heard_at, row.how) == (NOW - 9 * MINUTE, HeardHow.ALOUD)
        assert receipt.words == (
            f"Ann Birch heard “Pulling”, version 1, read by {self.lead}."
        )

    def test_it_keeps_the_form_that_was_heard(self):
        content = self.version.content | {"short": "Grip low.\nNever run."}
        newer = make_briefing_version(
            briefing=self.briefing, published_at=NOW - MINUTE, content=content
        )
        receipt = self.heard(version=str(newer.pk), in_short=True)
        assert Acknowledgement.objects.get().in_short
        assert "heard the short form of “Pulling”, version 2" in receipt.words

    def test_it_opens_the_station_and_before_it_stays_shut(self):
        put = {"person": str(self.ann.pk), "station": self.station.pk}
        assert "not heard the briefing" in self.receive("station", **put).words
        self.heard()
        self.kept("station", **put)
        assert SignUp.objects.held().get(volunteer=self.ann).station == self.station

    def test_somebody_written_in_hears_it_under_the_slips_key(self):
        dora = self.kept("walk_in", name="Dora Vale")
        self.heard(person=str(dora.key), reader=str(self.ann.pk))
        row = Acknowledgement.objects.get()
        assert (row.volunteer.name, row.read_by) == ("Dora Vale", self.ann)

    def test_told_twice_it_is_heard_once(self):
        self.heard(at=NOW - 9 * MINUTE)
        assert self.heard().outcome == Outcome.KEPT
        assert Acknowledgement.objects.get().heard_at == NOW - 9 * MINUTE

    def test_what_changed_since_was_heard_and_is_to_be_heard_anew(self):
        newer = make_briefing_version(briefing=self.briefing, published_at=NOW - MINUTE)
        assert self.heard(at=NOW - 9 * MINUTE).outcome == Outcome.KEPT
        assert Acknowledgement.objects.get().version == self.version
        state = field_state(self.gathering, NOW)
        assert state.versions == (newer,)
        (ann,) = [one for one in state.people if one.volunteer == self.ann]
        assert ann.stations.heard == frozenset()
        assert ann.stations.barred == {self.station.pk: "to hear first"}
        assert ann.stations.barred_briefed == {}

    def test_a_phones_clock_never_puts_it_before_the_words_were_published(self):
        late = make_briefing_version(briefing=self.briefing, published_at=NOW)
        self.heard(version=str(late.pk), at=NOW - 30 * MINUTE)
        assert Acknowledgement.objects.get().heard_at == NOW

    def test_words_of_elsewhere_or_a_reader_nobody_knows_are_refused(self):
        elsewhere = make_briefing_version()
        assert "no longer there" in self.heard(version=str(elsewhere.pk)).words
        stranger = make_volunteer()
        assert (
            "Nobody with that name is on the list now"
            in self.heard(reader=str(stranger.pk)).words
        )
        assert not Acknowledgement.objects.exists()

    def test_a_young_walk_in_stays_shut_out_by_age_not_by_hearing(self):
        water = make_station(
            gathering=self.gathering, kind="tread", briefing=self.briefing
        )
        offer = next(
            one
            for one in field_state(self.gathering, NOW).offers
            if one.station == water
        )
        assert offer.version == self.version
        assert "adult" not in offer.barred_briefed
        assert offer.barred_briefed["under_13"] == "not old enough"

    def test_the_phone_is_told_the_words_once_and_every_word_is_escaped(self):
        content = {"title": "Pulling", "task": "<script>alert(1)</script> Pull."}
        version = make_briefing_version(briefing=self.briefing, content=content)
        self.client.force_login(self.lead.user)
        path = reverse(
            "fieldlog:state", args=[self.demonstration.slug, self.gathering.pk]
        )
        (told,) = self.client.get(path).json()["briefings"]
        assert told["id"] == str(version.pk)
        assert "&lt;script&gt;" in told["words"]
        assert "<script" not in told["words"]
        (again,) = self.client.get(path, {"have": version.pk}).json()["briefings"]
        assert "words" not in again

    def test_the_gate_says_truly_what_the_field_page_does(self):
        self.client.force_login(self.lead.user)
        args = [self.demonstration.slug, self.gathering.pk]
        gate = self.client.get(reverse("gatherings:gate", args=args), follow=True)
        self.assertNotContains(gate, "does the same")
        self.assertContains(gate, "Freeing places needs a signal")


@pytest.mark.browser
@pytest.mark.any_database
class BriefingOnThePhoneTests(StaticLiveServerTestCase):
    @pytest.fixture(autouse=True)
    def _with_browser(self, chromium):
        self.browser = chromium

    def setUp(self):
        now = clock.now()
        home = make_demonstration()
        self.lead = make_organiser(demonstration=home, name="Orla Fenn")
        self.gathering = make_gathering(
            demonstration=home,
            lead=self.lead,
            starts_at=now - 60 * MINUTE,
            ends_at=now + 120 * MINUTE,
        )
        briefing = make_briefing(demonstration=home, title="Pulling by hand")
        content = {
            "title": briefing.title,
            "task": "Grip low, and never run.",
            "stop_rules": ["Thunder: stop work."],
        }
        self.version = make_briefing_version(
            briefing=briefing, content=content, published_at=now - 9 * 60 * MINUTE
        )
        self.pull = make_station(
            gathering=self.gathering, title="Pull", briefing=briefing
        )
        self.ann = make_volunteer(demonstration=home, name="Ann Birch", user=None)
        make_sign_up(station=self.pull, volunteer=self.ann)
        make_turnout(
            gathering=self.gathering,
            volunteer=self.ann,
            arrived_at=now - 50 * MINUTE,
            left_at=None,
        )
        args = [home.slug, self.gathering.pk]
        path = reverse("fieldlog:field", args=args)
        self.phone = Phone(self.browser, self.live_server_url, path)
        self.phone.switch_on()
        self.addCleanup(self.phone.throw_away)
        self.phone.sign_in(self.lead.user)
        self.phone.open_and_keep()

    def write_in(self, name):
        self.phone.unfold("Somebody else came")
        self.phone.page.get_by_label("Their name").fill(name)
        self.phone.page.get_by_role("button", name="Add them").click()

    def test_a_walk_in_is_read_the_briefing_and_works_without_a_signal(self):
        phone, page = self.phone, self.phone.page
        phone.signal(False)
        page.reload()
        self.write_in("Dora Vale")
        phone.open_person("Dora Vale")
        shut = page.get_by_role("button", name="Pull: to hear first, Dora Vale")
        expect(shut).to_be_disabled()
        page.get_by_role("link", name="Read the briefing for Pull to Dora Vale").click()
        # The words that are read are on the kept page.
        part = page.locator("#log-briefing-list")
        expect(part).to_contain_text("Pulling by hand, version 1")
        expect(part.get_by_text("Grip low, and never run.")).to_be_visible()
        expect(part.get_by_text("Thunder: stop work.")).to_be_visible()
        phone.unfold("Read out by Orla Fenn (you)")
        page.get_by_role("radio", name="Ann Birch").check()
        phone.tap_heard("Dora Vale", "Pulling by hand")
        page.get_by_role("radio", name="Orla Fenn (you)").check()
        row = page.locator("#log-here .log-person", has_text="Ann Birch")
        expect(row.locator(".log-not-yet")).to_have_text("not heard")
        phone.tap_heard("Ann Birch", "Pulling by hand")
        expect(row.locator(".log-not-yet")).to_be_hidden()
        expect(part).to_contain_text("everybody here has heard it")
        expect(part.get_by_text("Thunder: stop work.")).to_be_visible()
        phone.tap("Pull", "Dora Vale")
        # Nothing is said before it is saved: what is said outlives the page.
        phone.says("4 saved on this phone")
        assert not Acknowledgement.objects.exists()
        page.reload()
        expect(part).to_contain_text("everybody here has heard it")
        phone.signal(True)
        phone.says("4 sent.", patience=40)
        dora = Volunteer.objects.get(name="Dora Vale")
        heard = {
            row.volunteer: (row.version, row.read_by, row.recorded_by)
            for row in Acknowledgement.objects.all()
        }
        assert heard == {
            dora: (self.version, self.ann, self.lead.user),
            self.ann: (self.version, self.lead, self.lead.user),
        }
        assert Receipt.objects.filter(outcome=Outcome.KEPT).count() == 4
        assert SignUp.objects.held().get(volunteer=dora).station == self.pull
        assert [text for text in phone.said if text.startswith("Error")] == []

    def test_what_waits_is_sent_in_small_batches_and_smaller_after_a_failure(self):
        phone, page = self.phone, self.phone.page
        phone.signal(False)
        for _ in range(23):
            phone.tap("+1", "Ann Birch")
        phone.says("23 saved on this phone")
        sizes = []

        def count(route):
            sizes.append(len(route.request.post_data_json["slips"]))
            if len(sizes) == 1:
                route.abort()
            else:
                route.continue_()

        page.route("**/send/", count)
        phone.signal(True)
        phone.says("23 sent.", patience=60)
        assert (sizes[0], sizes[1]) == (10, 5)
        assert sum(sizes[1:]) == 23
