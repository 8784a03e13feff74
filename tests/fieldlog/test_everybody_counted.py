"""Nobody falls out of a head-count: random evenings, and clocks that say anything."""

import uuid
from datetime import timedelta

import pytest
from django.contrib.staticfiles.testing import StaticLiveServerTestCase
from django.templatetags.static import static
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from heritage.fieldlog.selectors import field_state
from heritage.fieldlog.services import receive
from heritage.gatherings.gate.selectors import gate_page, head_count
from heritage.gatherings.models import Muster
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_turnout,
    make_volunteer,
)
from tests.fieldlog.slips import ENDS, STARTS, slip

MINUTE = timedelta(minutes=1)
PEOPLE = 4
KINDS = ["came", "left", "stayed", "struck", "walk_in", "seen"]
# Slow, fast, a day off, stepped to and fro: each tap has a clock of its own.
errors = st.one_of(
    st.integers(-20, 20), st.sampled_from([-1440, 1440, -10, 10, -600, 600])
).map(lambda minutes: minutes * MINUTE)
taps = st.tuples(
    st.sampled_from(KINDS),
    st.integers(0, PEOPLE - 1),
    errors,
)
before_and_after = st.tuples(st.lists(taps, max_size=10), st.lists(taps, max_size=8))


@pytest.mark.any_database
class OnTheServerTests(TestCase):
    """By slips and by the gate; the server's own clock steps about as well."""

    def setUp(self):
        home = make_demonstration()
        self.lead = make_volunteer(demonstration=home)
        self.gathering = make_gathering(
            demonstration=home, lead=self.lead, starts_at=STARTS, ends_at=ENDS
        )
        self.people = [
            make_volunteer(demonstration=home, user=None) for _ in range(PEOPLE)
        ]

    def tap(self, kind, number, phone, now, **data):
        data = {"person": str(self.people[number].pk), "name": f"New {uuid.uuid4()}"}
        made = slip(kind, at=NOW + phone, sent_at=NOW + phone, **data)
        receive(gathering=self.gathering, slip=made, by=self.lead.user, now=now)

    def shown(self, now):
        """Say whom the gate and the phone show as here: they never disagree."""
        at_gate = {one.volunteer for one in gate_page(self.gathering, now).here}
        people = field_state(self.gathering, now).people
        assert {one.volunteer for one in people if one.here} == at_gate
        assert {one.volunteer for one in head_count(self.gathering, now).people} == (
            at_gate
        )
        return at_gate

    def counted(self, now):
        people = {one.volunteer for one in head_count(self.gathering, now).people}
        told = field_state(self.gathering, now).people
        assert {one.volunteer for one in told if one.awaited or one.safe} == people
        return people

    @settings(max_examples=20)
    @given(before_and_after, errors, errors, st.sets(st.integers(0, PEOPLE - 1)))
    def test_whoever_is_shown_at_the_press_or_comes_later_is_counted(
        self, evening, server, phone, on_the_phone
    ):
        before, after = evening
        for kind, number, error in before:
            # The server's clock is set back by its own error at the press.
            self.tap(kind, number, error, NOW)
        now = max(NOW + server, STARTS) if abs(server) < 60 * MINUTE else NOW
        shown = self.shown(now)
        here = [str(self.people[number].pk) for number in on_the_phone]
        made = slip("muster", at=NOW + phone, sent_at=NOW + phone, here=here)
        receive(gathering=self.gathering, slip=made, by=self.lead.user, now=now)
        told = {self.people[number] for number in on_the_phone}
        counted = self.counted(now)
        assert counted == shown | told
        for kind, number, error in after:
            self.tap(kind, number, error, now)
            since = self.counted(now)
            assert counted | self.now_here(now) <= since
            counted = since

    def now_here(self, now):
        return {one.volunteer for one in gate_page(self.gathering, now).here}


class StepTests(TestCase):
    """The same, told as it happens."""

    def setUp(self):
        OnTheServerTests.setUp(self)
        self.ann = self.people[0]

    def count(self, now):
        made = slip("muster")
        receive(gathering=self.gathering, slip=made, by=self.lead.user, now=now)
        return [one.volunteer for one in head_count(self.gathering, now).people]

    def test_a_server_set_back_counts_who_came_by_its_later_clock(self):
        make_turnout(
            gathering=self.gathering,
            volunteer=self.ann,
            arrived_at=NOW + 10 * MINUTE,
            left_at=None,
        )
        assert [one.volunteer for one in gate_page(self.gathering, NOW).here] == [
            self.ann
        ]
        assert self.count(NOW) == [self.ann]

    def test_whom_only_the_phone_knew_of_is_counted_at_any_hour(self):
        """The server's clock is a day off: the count is not refused for it."""
        day = timedelta(days=2)
        made = slip("muster", sent_at=None, here=[str(self.ann.pk), "x", "9" * 30])
        receive(gathering=self.gathering, slip=made, by=self.lead.user, now=NOW + day)
        page = head_count(self.gathering, NOW)
        assert [one.volunteer for one in page.missing] == [self.ann]
        assert Muster.objects.get().closed_at is None

    def test_who_goes_home_while_counted_is_still_to_be_seen(self):
        make_turnout(gathering=self.gathering, volunteer=self.ann, left_at=None)
        assert self.count(NOW) == [self.ann]
        OnTheServerTests.tap(self, "left", 0, -600 * MINUTE, NOW)
        page = head_count(self.gathering, NOW)
        assert [one.volunteer for one in page.missing] == [self.ann]


# Reads one evening on the phone's own code, and says after each tap who is shown as
# here, whether a head-count goes on, and who is counted.
READ = """async ([address, people, entries]) => {
    const { apply, isHere, nameFor, toCount } = await import(address);
    let tonight = { people, muster: null };
    return entries.map((entry) => {
        if (entry.kind === "muster")
            entry.data.here = tonight.people.filter(isHere).map(nameFor);
        tonight = apply(tonight, entry, entry.skew);
        return [
            tonight.people.filter(isHere).map(nameFor),
            Boolean(tonight.muster),
            tonight.muster ? toCount(tonight.people).map(nameFor) : [],
        ];
    });
}"""
phone_taps = st.tuples(
    st.sampled_from([*KINDS, "unseen", "muster", "muster", "counted"]),
    st.integers(0, PEOPLE - 1),
    errors,
    errors,
)


@pytest.mark.browser
@pytest.mark.any_database
class OnThePhoneTests(StaticLiveServerTestCase):
    @pytest.fixture(autouse=True)
    def _with_browser(self, chromium):
        self.browser = chromium

    def test_whoever_is_shown_at_the_press_or_comes_later_is_counted(self):
        page = self.browser.new_page()
        self.addCleanup(page.close)
        page.goto(self.live_server_url + "/alive/")
        address = self.live_server_url + static("fieldlog/tonight.js")

        @settings(max_examples=150)
        @given(st.lists(phone_taps, max_size=25), st.sets(st.integers(0, PEOPLE - 1)))
        def holds(evening, here):
            people = [person(number, number in here) for number in range(PEOPLE)]
            entries = [entry(number, *tap) for number, tap in enumerate(evening)]
            told = page.evaluate(READ, [address, people, entries])
            shown, counted = {str(number) for number in here}, None
            for one, (now_here, is_going, now_counted) in zip(
                entries, told, strict=True
            ):
                if one["kind"] == "counted":
                    counted = None
                elif one["kind"] == "muster" and counted is None:
                    counted = set(shown)
                    assert set(now_counted) == shown == set(now_here)
                shown = after(shown, one)
                assert set(now_here) == shown
                assert is_going == (counted is not None)
                if counted is not None:
                    counted |= shown
                    # Nobody vanishes; who is seen without being here is added.
                    assert counted <= set(now_counted)
                    assert len(now_counted) == len(set(now_counted))

        holds()


def person(number, here):
    return {
        "id": str(number),
        "walk_in": "",
        "name": f"Person {number}",
        "arrived_at": NOW.isoformat() if here else None,
        "left_at": None,
        "here": here,
        "beets": 0,
        "safe": False,
        "awaited": False,
    }


def entry(number, kind, who, error, skew):
    return {
        "kind": kind,
        "key": f"key {number}",
        "at": (NOW + error).isoformat(),
        "skew": skew / timedelta(milliseconds=1),
        "data": {"person": str(who), "name": f"New {number}"},
    }


def after(here, one):
    """Say who is here after a tap, by its order alone."""
    who = one["data"]["person"]
    if one["kind"] in ("came", "stayed"):
        return here | {who}
    if one["kind"] in ("left", "struck"):
        return here - {who}
    return here | {one["key"]} if one["kind"] == "walk_in" else here
