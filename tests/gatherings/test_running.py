"""A machine whose guards were not seen today does not run in public."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from heritage.gatherings import services as gatherings_services
from heritage.gatherings.asked.selectors import machine_warnings
from heritage.gatherings.gate import services
from heritage.gatherings.gate.selectors import (
    gate_page,
    stations_for,
    tonights_stations,
)
from heritage.gatherings.selectors import gathering_page
from heritage.machines import services as safety
from heritage.machines.models import MachineKind
from heritage.machines.selectors import guards_missing, works_stopped
from tests.factories import (
    NOW,
    make_machine,
    make_machine_check,
    make_sign_up,
    make_station,
)
from tests.gatherings.test_gate import Evening
from tests.gatherings.test_services_posting import details

GUARD = "Belt guard, left side"
DAY = timedelta(days=1)


@pytest.mark.any_database
class RunningTests(Evening):
    """Tonight one puller is to run; Bob stands at the gate."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.gathering.stage = "pulling"
        cls.gathering.save(update_fields=["stage"])
        cls.puller = make_machine(demonstration=cls.place, name="Old puller")
        cls.feed = make_station(
            gathering=cls.gathering, kind="feed", title="Feed", places=2
        )

    def look(self, at=NOW, machine=None, *, missing=()):
        machine = machine or self.puller
        present = [one.name for one in machine.guards.all() if one.name not in missing]
        return make_machine_check(
            machine=machine,
            present=present,
            missing=list(missing),
            may_run=not missing,
            checked_at=at,
        )

    def put(self, station=None):
        return services.put_at(
            gathering=self.gathering,
            volunteer=self.bob,
            station=station or self.feed,
            by=self.lead.user,
            now=NOW,
        )

    def stopped(self, works=("feed",), stage="pulling"):
        return works_stopped(self.place, NOW, stage, works)

    def test_nobody_is_put_at_a_machine_that_was_not_checked_today(self):
        with pytest.raises(ValidationError, match="Old puller: not checked") as no:
            self.put()
        assert no.value.code == "machine"
        self.look(NOW - DAY)
        with pytest.raises(ValidationError, match="not checked today"):
            self.put()
        self.look()
        assert self.put().station == self.feed

    def test_nobody_is_put_at_a_machine_with_a_guard_missing(self):
        self.look(missing=[GUARD])
        with pytest.raises(ValidationError, match=f"Missing: {GUARD}"):
            self.put()

    def test_a_guard_written_down_since_the_check_stops_it_too(self):
        self.look()
        self.puller.guards.create(name="Cover over the pulleys")
        with pytest.raises(ValidationError, match="Missing: Cover over the pulleys"):
            self.put()

    def test_the_last_look_of_the_day_holds(self):
        self.look(NOW - timedelta(hours=2))
        self.look(NOW - timedelta(hours=1), missing=[GUARD])
        assert "Missing" in self.stopped()["feed"]
        self.look(NOW)
        assert self.stopped() == {}

    def test_a_second_machine_of_the_sort_lets_the_work_go_on(self):
        self.look(missing=[GUARD])
        other = make_machine(demonstration=self.place, name="New puller")
        assert set(self.stopped()) == {"feed"}
        self.look(machine=other)
        assert self.stopped() == {}

    def test_each_work_asks_for_its_own_sort_of_machine(self):
        tractor = make_machine(
            demonstration=self.place, name="Grey tractor", kind=MachineKind.TRACTOR
        )
        works = ("drive", "feed", "lift_off", "pull")
        assert set(self.stopped(works)) == {"drive", "feed", "lift_off"}
        self.look(machine=tractor)
        assert set(self.stopped(works)) == {"feed", "lift_off"}
        # No breaker is on the list, so nothing is known against one.
        assert self.stopped(("feed",), "scutching") == {}
        make_machine(demonstration=self.place, name="Breaker", kind=MachineKind.BREAKER)
        assert "Breaker" in self.stopped(("feed",), "scutching")["feed"]

    def test_work_by_hand_costs_no_query(self):
        with self.assertNumQueries(0):
            assert self.stopped(("pull", "tread")) == {}
        with self.assertNumQueries(0):
            assert guards_missing(self.place, "pulling", ("pull",)) == {}
        with self.assertNumQueries(3):
            self.stopped()

    def test_the_gate_and_the_field_page_say_who_may_not_begin(self):
        make_sign_up(station=self.feed, volunteer=self.bob)
        page = gate_page(self.gathering, NOW)
        (bob,) = [one for one in page.here if one.volunteer == self.bob]
        assert bob.not_yet.short == "machine stands still"
        assert "Old puller" in page.machines[0]
        assert self.on_the_phone().not_yet == "machine stands still"
        self.look()
        assert self.on_the_phone().not_yet == ""
        assert gate_page(self.gathering, NOW).machines == ()

    def on_the_phone(self):
        """Return what the field page says of Bob."""
        return tonights_stations(self.gathering, [self.bob]).people[self.bob.pk]

    def test_the_choice_of_stations_says_that_it_stands_still(self):
        page = stations_for(self.gathering, self.bob, NOW)
        (feed,) = [one for one in page.choices if one.station == self.feed]
        assert feed.refusal.code == "machine"
        self.client.force_login(self.lead.user)
        for name, keys in (
            ("gate_station", [self.gathering.pk, self.bob.pk]),
            ("gathering", [self.gathering.pk]),
        ):
            address = reverse(f"gatherings:{name}", args=[self.place.slug, *keys])
            said = self.client.get(address).content.decode()
            assert "Old puller: not checked today" in said, name

    def test_the_lead_is_told_before_the_day_only_of_what_was_missing(self):
        before = NOW - 2 * DAY
        stations = [self.feed]
        assert machine_warnings(self.gathering, stations, before) == []
        self.look(before, missing=[GUARD])
        (words,) = machine_warnings(self.gathering, stations, before)
        assert words.startswith("Feed: Old puller:")
        assert GUARD in words
        assert machine_warnings(self.gathering, stations, NOW + 2 * DAY) == []
        page = gathering_page(self.gathering, now=before, is_led=True)
        assert page.machines == [words]
        assert gathering_page(self.gathering, now=before).machines == []

    def plan(self, starts_at, **more):
        plans = [gatherings_services.StationPlan(kind="feed", title="Feed", places=2)]
        said = {
            "demonstration": self.place,
            "details": details(starts_at=starts_at, ends_at=starts_at + DAY / 12),
            "stations": plans,
            "now": NOW,
        }
        return gatherings_services.post(**(said | more))

    def test_a_posting_for_today_is_refused_while_a_guard_is_missing(self):
        soon = NOW + timedelta(hours=1)
        self.look(missing=[GUARD])
        with pytest.raises(ValidationError, match="Have the guard put back"):
            self.plan(soon)
        draft = self.plan(soon, as_draft=True)
        again = {
            name: getattr(draft, name)
            for name in gatherings_services.Details.__annotations__
        }
        with pytest.raises(ValidationError, match=GUARD):
            gatherings_services.edit(
                gathering=draft, details=again, stations=None, now=NOW, publish=True
            )
        assert self.plan(NOW + DAY).is_posted
        self.look(NOW + timedelta(minutes=1))
        assert self.plan(soon).is_posted

    def test_a_check_from_the_page_lets_the_work_begin(self):
        safety.check_machine(
            machine=self.puller, present=[GUARD], by=self.lead.user, now=NOW
        )
        assert self.put().station == self.feed
