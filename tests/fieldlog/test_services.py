"""What becomes of slips: each dealt with once, and answered."""

import random
import uuid
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.dam.models import Reading
from heritage.fieldlog.models import FieldNote, Outcome, Receipt, Thunder
from heritage.fieldlog.services import counts_from, receive
from heritage.gatherings.models import GatheringStatus, SignUpStatus, Turnout
from heritage.growth.models import Observation
from heritage.lots.models import Lot, Move
from heritage.people.models import AgeBand, Volunteer
from heritage.pictures.models import Picture, Shown
from heritage.tally.models import Entry
from tests.factories import (
    NOW,
    make_briefing,
    make_dam,
    make_demonstration,
    make_entry,
    make_gathering,
    make_lot,
    make_organiser,
    make_plot,
    make_pulled_lot,
    make_ret,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)
from tests.fieldlog.slips import ENDS, STARTS, slip
from tests.pictures.photographs import photograph

MINUTE = timedelta(minutes=1)
TODAY = date(2026, 8, 12)


class Evening(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.lead = make_volunteer(demonstration=cls.demonstration)
        cls.ann = make_volunteer(demonstration=cls.demonstration, name="Ann Birch")
        cls.gathering = make_gathering(
            demonstration=cls.demonstration,
            starts_at=STARTS,
            ends_at=ENDS,
            lead=cls.lead,
        )

    def receive(self, kind=None, *, now=NOW, gathering=None, whole=None, **said):
        return receive(
            gathering=gathering or self.gathering,
            slip=whole or slip(kind, **said),
            by=self.lead.user,
            now=now,
        )

    def kept(self, kind, **said):
        receipt = self.receive(kind, **said)
        assert receipt.outcome == Outcome.KEPT, receipt.words
        return receipt

    def refused(self, words, kind, **said):
        receipt = self.receive(kind, **said)
        assert receipt.outcome == Outcome.REFUSED
        assert words in receipt.words
        return receipt

    @property
    def anns_turnout(self):
        return Turnout.objects.get(volunteer=self.ann)


class ReceiptTests(Evening):
    def test_the_same_slip_again_gets_the_same_receipt(self):
        whole = slip("beets", person=self.ann.pk, count=5)
        first = self.receive(whole=whole)
        again = self.receive(whole=whole, now=NOW + 9 * MINUTE)
        assert again == first
        assert again.received_at == NOW
        assert Entry.objects.beets() == 5

    def test_a_refusal_stands_and_is_mended_under_a_new_key(self):
        whole = slip("beets", person=self.ann.pk, count=0)
        first = self.receive(whole=whole)
        assert first.outcome == Outcome.REFUSED
        assert self.receive(whole=whole) == first
        self.kept("beets", person=self.ann.pk, count=1)
        assert Entry.objects.beets() == 1

    def test_a_key_of_another_gathering_is_not_answered(self):
        elsewhere = make_gathering(demonstration=self.demonstration)
        whole = slip("note", text="Rain in the west.")
        self.receive(whole=whole)
        with pytest.raises(ValidationError, match="for another gathering"):
            self.receive(whole=whole, gathering=elsewhere)

    def test_a_repeat_that_waited_for_the_lock_is_only_answered(self):
        """The second look, under the lock, finds what the first could not yet."""
        whole = slip("note", text="Once.")
        first = self.receive(whole=whole)
        looks = iter([None, first])
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(
                "heritage.fieldlog.services._earlier",
                lambda gathering, slip: next(looks),
            )
            assert self.receive(whole=whole) == first
        assert FieldNote.objects.count() == 1

    def test_a_refused_slip_leaves_nothing_behind(self):
        beets = {"person": self.ann.pk, "count": 5}
        self.refused("called off", "beets", gathering=self.called_off(), **beets)
        assert not Entry.objects.exists()

    def called_off(self):
        return make_gathering(
            demonstration=self.demonstration,
            lead=self.lead,
            starts_at=STARTS,
            ends_at=ENDS,
            status=GatheringStatus.CALLED_OFF,
        )


class SetBackTests(Evening):
    """A phone whose clock was set back between two taps."""

    def test_who_left_after_they_came_has_left_whatever_the_clock_says(self):
        person = {"person": self.ann.pk}
        self.kept("came", at=NOW - 10 * MINUTE, **person)
        self.kept("left", at=NOW - 50 * MINUTE, **person)
        row = self.anns_turnout
        assert row.arrived_at == row.left_at == NOW - 10 * MINUTE

    def test_an_arrival_written_down_elsewhere_is_not_ended_by_an_earlier_leaving(self):
        make_turnout(
            gathering=self.gathering,
            volunteer=self.ann,
            arrived_at=NOW - 10 * MINUTE,
            left_at=None,
        )
        said = {"person": self.ann.pk, "at": NOW - 50 * MINUTE}
        self.refused("leave before coming", "left", **said)
        assert self.anns_turnout.left_at is None


class TimeTests(Evening):
    def at(self, *, made, sent, now=NOW):
        return counts_from(slip("thunder", made, sent_at=sent), self.gathering, now)

    def test_the_wait_on_the_phone_is_taken_off_the_servers_time(self):
        assert self.at(made=NOW - 20 * MINUTE, sent=NOW) == NOW - 20 * MINUTE

    def test_a_clock_that_is_out_by_days_does_no_harm(self):
        out = timedelta(days=3, minutes=17)
        at = self.at(made=NOW - 20 * MINUTE + out, sent=NOW + out)
        assert at == NOW - 20 * MINUTE

    def test_a_time_outside_the_gathering_is_not_believed(self):
        assert self.at(made=NOW - timedelta(hours=9), sent=NOW) == NOW
        assert self.at(made=NOW + MINUTE, sent=NOW) == NOW
        late = NOW + timedelta(days=2)
        assert self.at(made=late - MINUTE, sent=late, now=late) == late

    def test_an_evening_sent_the_next_day_counts_for_the_evening(self):
        next_day = NOW + timedelta(days=1)
        assert self.at(made=NOW, sent=next_day, now=next_day) == NOW

    def test_without_a_phones_time_the_servers_counts(self):
        assert self.at(made=None, sent=NOW) == NOW
        assert self.at(made=NOW, sent=None) == NOW

    def test_the_receipt_keeps_both_clocks(self):
        out = timedelta(minutes=42)
        made, sent = NOW - 5 * MINUTE + out, NOW + out
        receipt = self.kept("thunder", at=made, sent_at=sent)
        assert (receipt.phone_time, receipt.sent_at) == (made, sent)
        assert (receipt.received_at, receipt.counts_from) == (NOW, NOW - 5 * MINUTE)

    def test_the_furthest_clocks_are_borne(self):
        far = datetime(2199, 12, 31, tzinfo=UTC)
        assert self.at(made=datetime(2000, 1, 1, tzinfo=UTC), sent=far) == NOW


class TurnoutTests(Evening):
    def test_of_two_arrivals_the_earlier_stands(self):
        for minutes in (10, 30, 20):
            self.kept("came", at=NOW - minutes * MINUTE, person=self.ann.pk)
        assert self.anns_turnout.arrived_at == NOW - 30 * MINUTE

    def test_a_late_slip_does_not_bring_back_who_has_left(self):
        self.kept("came", at=NOW - 30 * MINUTE, person=self.ann.pk)
        self.kept("left", at=NOW - 5 * MINUTE, person=self.ann.pk)
        self.kept("came", at=NOW - 29 * MINUTE, person=self.ann.pk)
        assert self.anns_turnout.left_at == NOW - 5 * MINUTE

    def test_who_comes_back_is_here(self):
        make_turnout(
            gathering=self.gathering,
            volunteer=self.ann,
            arrived_at=STARTS,
            left_at=NOW - 20 * MINUTE,
        )
        self.kept("came", person=self.ann.pk)
        assert self.anns_turnout.left_at is None

    def test_leaving_may_be_taken_back(self):
        self.kept("came", at=NOW - 9 * MINUTE, person=self.ann.pk)
        self.kept("left", person=self.ann.pk)
        self.kept("stayed", person=self.ann.pk)
        assert self.anns_turnout.left_at is None

    def test_who_never_came_cannot_leave(self):
        for kind in ("left", "stayed"):
            self.refused("isn't marked as here yet", kind, person=self.ann.pk)

    def test_a_tick_by_mistake_is_struck(self):
        self.kept("came", person=self.ann.pk)
        self.kept("struck", person=self.ann.pk)
        assert not Turnout.objects.exists()

    def test_who_has_beets_is_not_struck(self):
        make_entry(gathering=self.gathering, volunteer=self.ann)
        self.refused("has beets counted here", "struck", person=self.ann.pk)

    def test_somebody_is_written_in_and_counted_before_they_have_a_number(self):
        walk_in = self.kept("walk_in", name="Dora Vale")
        self.kept("beets", person=str(walk_in.key), count=5)
        dora = Volunteer.objects.get(name="Dora Vale")
        assert walk_in.volunteer == dora
        assert Turnout.objects.get(volunteer=dora).left_at is None
        assert Entry.objects.get().volunteer == dora

    def test_a_walk_in_has_a_name(self):
        self.refused("Enter a name", "walk_in", name=" ")

    def test_a_known_name_is_the_one_person_who_bears_it(self):
        """Ann, on the list but not marked here, is not made a second Ann."""
        receipt = self.kept("walk_in", name="  ann   BIRCH ")
        assert receipt.volunteer == self.ann
        assert "known" in receipt.words
        assert not receipt.is_apart
        assert self.anns_turnout.left_at is None
        self.kept("beets", person=str(receipt.key), count=3)
        assert Entry.objects.get().volunteer == self.ann

    def test_a_name_of_somebody_here_is_kept_apart(self):
        self.kept("came", person=self.ann.pk)
        receipt = self.kept("walk_in", name="Ann Birch")
        assert receipt.is_apart
        assert receipt.volunteer != self.ann
        assert "same" in receipt.words
        assert Receipt.objects.to_settle().get() == receipt

    def test_a_name_that_two_bear_is_kept_apart(self):
        make_volunteer(demonstration=self.demonstration, name="Ann Birch")
        receipt = self.kept("walk_in", name="Ann Birch")
        assert receipt.is_apart
        assert Volunteer.objects.filter(name="Ann Birch").count() == 3

    def test_an_adult_is_not_taken_for_a_child_of_that_name(self):
        make_volunteer(
            demonstration=self.demonstration,
            name="Bea Moss",
            user=None,
            age_band=AgeBand.FROM_13,
            guardian=self.ann,
        )
        assert self.kept("walk_in", name="Bea Moss").is_apart

    def test_a_new_name_is_not_kept_apart(self):
        assert not self.kept("walk_in", name="Dora Vale").is_apart

    def test_nobody_from_elsewhere_gone_or_unheard_of_is_taken(self):
        stranger = make_volunteer()
        gone = make_volunteer(demonstration=self.demonstration, left_at=NOW)
        for who in (stranger.pk, gone.pk, "999999999", str(uuid.uuid4())):
            self.refused("Nobody with that name is on the list now", "came", person=who)
        for who in ("", "9" * 12, "Ann"):
            self.refused("We can't tell what this is about", "came", person=who)


class ChildTests(Evening):
    def child(self, name="Bea Moss", age_band="from_13", **said):
        return slip("child", name=name, age_band=age_band, **said)

    def test_a_child_comes_with_an_adult_who_is_here(self):
        self.kept("came", at=NOW - MINUTE, person=self.ann.pk)
        receipt = self.receive(whole=self.child(person=self.ann.pk))
        bea = receipt.volunteer
        assert (bea.name, bea.guardian, bea.age_band) == (
            "Bea Moss",
            self.ann,
            AgeBand.FROM_13,
        )
        assert Turnout.objects.get(volunteer=bea).left_at is None

    def test_the_adult_may_have_been_written_in_a_moment_before(self):
        adult = self.kept("walk_in", at=NOW - MINUTE, name="Dora Vale")
        receipt = self.receive(whole=self.child(person=str(adult.key)))
        assert receipt.volunteer.guardian == adult.volunteer
        self.kept("beets", person=str(receipt.key), count=1)

    def test_without_their_adult_here_no_child_is_taken(self):
        receipt = self.receive(whole=self.child(person=self.ann.pk))
        assert receipt.outcome == Outcome.REFUSED
        assert "Ann Birch is not here" in receipt.words
        assert not Volunteer.objects.filter(name="Bea Moss").exists()

    def test_a_childs_age_is_said(self):
        self.kept("came", at=NOW - MINUTE, person=self.ann.pk)
        for band in ("adult", "", "old"):
            whole = self.child(person=self.ann.pk, age_band=band)
            assert "how old" in self.receive(whole=whole).words

    def test_a_child_of_theirs_is_known_and_anothers_is_kept_apart(self):
        self.kept("came", at=NOW - MINUTE, person=self.ann.pk)
        self.kept("came", at=NOW - MINUTE, person=self.lead.pk)
        bea = make_volunteer(
            demonstration=self.demonstration,
            name="Bea Moss",
            user=None,
            age_band=AgeBand.FROM_13,
            guardian=self.ann,
        )
        other = self.receive(whole=self.child(person=self.lead.pk))
        assert other.is_apart
        Receipt.objects.filter(pk=other.pk).update(is_apart=False)
        Turnout.objects.filter(volunteer=other.volunteer).delete()
        Volunteer.objects.filter(pk=other.volunteer_id).update(name="Bea Marl")
        assert self.receive(whole=self.child(person=self.ann.pk)).volunteer == bea


class StationTests(Evening):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.pull = make_station(gathering=cls.gathering, title="Pull", places=1)

    def setUp(self):
        self.kept("came", at=NOW - 9 * MINUTE, person=self.ann.pk)

    def put(self, person=None, station=None, **said):
        station = station or self.pull
        who = {"person": person or self.ann.pk, "station": station.pk}
        return slip("station", **who, **said)

    def test_somebody_here_is_given_a_station(self):
        receipt = self.receive(whole=self.put())
        assert receipt.outcome == Outcome.KEPT
        assert receipt.words == "Ann Birch is at Pull."
        place = self.ann.sign_ups.get()
        assert (place.station, place.status) == (self.pull, SignUpStatus.HELD)

    def test_the_rules_of_the_gate_refuse_with_their_reason(self):
        here = {"gathering": self.gathering}
        water = make_station(
            **here,
            title="Water",
            briefing=make_briefing(demonstration=self.demonstration),
        )
        assert "has not heard" in self.receive(whole=self.put(station=water)).words
        self.receive(whole=self.put())
        other = self.kept("walk_in", at=NOW - MINUTE, name="Dora Vale")
        late = self.receive(whole=self.put(person=str(other.key)))
        assert late.outcome == Outcome.REFUSED
        assert "Pull is full" in late.words
        assert (
            "marked as here yet"
            in self.receive(whole=self.put(person=self.lead.pk)).words
        )

    def test_a_station_of_another_gathering_is_not_there(self):
        elsewhere = make_station(gathering=make_gathering())
        assert (
            "no longer there" in self.receive(whole=self.put(station=elsewhere)).words
        )

    def test_said_before_the_start_it_gives_nobody_at_home_a_place(self):
        """It came in after the start: who waits at home is passed by."""
        waiting = make_sign_up(
            station=self.pull,
            volunteer=make_volunteer(demonstration=self.demonstration),
            status=SignUpStatus.WAITING,
            asked_at=STARTS - 99 * MINUTE,
        )
        self.kept("came", at=STARTS - 9 * MINUTE, person=self.ann.pk)
        early = self.put(at=STARTS - 5 * MINUTE)
        assert self.receive(whole=early).outcome == Outcome.KEPT
        waiting.refresh_from_db()
        assert waiting.status == SignUpStatus.WAITING


class BeetsTests(Evening):
    def test_beets_carry_the_slips_own_key_and_time(self):
        receipt = self.kept("beets", at=NOW - 9 * MINUTE, person=self.ann.pk, count="5")
        entry = Entry.objects.get()
        assert (entry.key, entry.beets, entry.volunteer) == (receipt.key, 5, self.ann)
        assert entry.entered_at == NOW - 9 * MINUTE
        assert receipt.words == "5 beets for Ann Birch."

    def test_a_slip_holds_no_more_than_anybody_taps(self):
        for count in (0, -5, 101):
            self.refused("1 to 100", "beets", person=self.ann.pk, count=count)

    def test_taking_back_is_a_counter_entry(self):
        receipt = self.kept("beets", person=self.ann.pk, count=5)
        self.kept("uncount", of=str(receipt.key))
        assert Entry.objects.beets() == 0
        assert [row.beets for row in Entry.objects.all().in_order()] == [5, -5]

    def test_what_is_not_in_the_book_cannot_be_taken_back(self):
        self.refused("nothing to undo", "uncount", of=str(uuid.uuid4()))
        elsewhere = make_entry()
        self.refused("nothing to undo", "uncount", of=str(elsewhere.key))

    def test_nothing_is_taken_back_twice(self):
        receipt = self.kept("beets", person=self.ann.pk, count=5)
        self.kept("uncount", of=str(receipt.key))
        self.refused("That's the same as before", "uncount", of=str(receipt.key))


class OtherKindsTests(Evening):
    def test_a_note_is_kept(self):
        self.kept("note", text="Swath wet below the hedge.")
        assert FieldNote.objects.get().text == "Swath wet below the hedge."

    def test_a_note_says_something_and_not_too_much(self):
        self.refused("empty", "note", text="  ")
        self.refused("longer than 1000", "note", text="x" * 1001)

    def test_thunder_is_written_down_at_its_time(self):
        self.kept("thunder", at=NOW - 4 * MINUTE)
        assert Thunder.objects.get().at == NOW - 4 * MINUTE

    def test_the_waters_temperature_goes_to_its_ret(self):
        ret = self.ret()
        self.kept("temperature", ret=ret.pk, temp_c="16,5")
        reading = Reading.objects.get()
        assert (reading.ret, reading.temp_c, reading.at) == (ret, Decimal("16.5"), NOW)

    def test_a_ret_of_elsewhere_is_none_of_ours(self):
        self.refused("belongs to another", "temperature", ret=make_ret().pk, temp_c=16)

    def test_no_water_is_as_hot_as_that(self):
        self.refused("be at 80", "temperature", ret=self.ret().pk, temp_c=80)

    def test_a_temperature_that_cannot_be_is_asked_about_and_kept_when_sent_again(self):
        ret = self.ret()
        words = "Is that in °F? 58.0 °F"
        first = self.refused(words, "temperature", ret=ret.pk, temp_c="58")
        again = {"ret": ret.pk, "temp_c": "59", "asked": str(first.key)}
        self.refused("Is that in °F? 59.0 °F", "temperature", **again)
        self.kept("temperature", ret=ret.pk, temp_c="58", asked=str(first.key))

    def test_sent_again_after_another_refusal_it_is_asked_about_all_the_same(self):
        elsewhere = make_ret()
        said = {"temp_c": "58"}
        first = self.refused(
            "belongs to another", "temperature", ret=elsewhere.pk, **said
        )
        said |= {"ret": self.ret().pk, "asked": str(first.key)}
        self.refused("Is that in °F? 58.0 °F", "temperature", **said)
        assert not Reading.objects.exists()

    def test_what_was_pulled_tonight_is_carried_away(self):
        self.kept("beets", person=self.ann.pk, count=20)
        carried = {"source": "stook", "target": "cart", "beets": "15"}
        receipt = self.kept("move", lot="tonight", note="By the lane.", **carried)
        assert receipt.words == "15 beets of Lot 1: in the field → on the cart."
        row = Move.objects.get()
        assert (row.lot, row.beets) == (Lot.objects.get(), 15)
        assert (row.key, row.entered_by) == (receipt.key, self.lead.user)
        assert row.note == "By the lane."

    def test_a_move_counts_for_when_it_was_tapped(self):
        self.kept("beets", person=self.ann.pk, count=20)
        lot = Lot.objects.get()
        said = {"lot": lot.pk, "source": "stook", "target": "cart", "beets": 5}
        self.kept("move", at=NOW - 50 * MINUTE, **said)
        assert Move.objects.get().at == NOW - 50 * MINUTE

    def test_a_lot_of_another_evening_is_carried_too(self):
        evening = make_gathering(
            demonstration=self.demonstration, starts_at=STARTS - timedelta(days=1),
            ends_at=ENDS - timedelta(days=1),
        )  # fmt: skip
        lot = make_pulled_lot(gathering=evening, beets=30)
        said = {"lot": lot.pk, "source": "stook", "target": "store", "beets": 30}
        assert "30 beets of Lot 1" in self.kept("move", **said).words

    def test_what_is_lost_says_what_became_of_it(self):
        self.kept("beets", person=self.ann.pk, count=20)
        lost = {"lot": "tonight", "source": "stook", "beets": 3}
        receipt = self.kept("move", target="lost/eaten", **lost)
        assert receipt.words == "3 beets of Lot 1: in the field → lost."
        assert Move.objects.get().loss == "eaten"
        self.refused("what became of what was lost", "move", target="lost", **lost)

    def test_what_cannot_have_been_carried_is_refused(self):
        carried = {"source": "stook", "target": "cart", "beets": 5}
        self.refused("Enter them first", "move", lot="tonight", **carried)
        self.kept("beets", person=self.ann.pk, count=20)
        tonight = {"lot": "tonight", **carried}
        self.refused("has 20 beets", "move", **{**tonight, "beets": 21})
        self.refused("has 0 beets", "move", **{**tonight, "source": "store"})
        self.refused("where it went", "move", **{**tonight, "target": "dam"})
        self.refused("where it went", "move", **{**tonight, "target": "stook"})
        self.refused("where it went", "move", **{**tonight, "source": "moon"})
        self.refused("whole number", "move", **{**tonight, "beets": "many"})
        self.refused("Enter 1 or more", "move", **{**tonight, "beets": 0})
        self.refused("belongs to another", "move", **{**tonight, "lot": make_lot().pk})
        assert not Move.objects.exists()

    def test_what_was_seen_of_the_crop_goes_to_its_plot(self):
        plot = make_plot(demonstration=self.demonstration, name="Low field")
        said = {"stems_yellow": "40", "lodged": "0", "height_cm": "", "flower": "end"}
        receipt = self.kept("observation", plot=plot.pk, note="dry", **said)
        assert receipt.words == (
            "Seen of Low field: flowers over; stems yellow 40 % of the way up; all "
            "upright. Dry."
        )
        row = Observation.objects.get()
        assert (row.plot, row.seen_on, row.key) == (plot, TODAY, receipt.key)
        assert (row.stems_yellow, row.height_cm, row.flower) == (40, None, "end")

    def test_what_cannot_have_been_seen_is_refused(self):
        plot = make_plot(demonstration=self.demonstration)
        self.refused(
            "belongs to another", "observation", plot=make_plot().pk, note="dry"
        )
        self.refused("at least one thing", "observation", plot=plot.pk)
        self.refused("whole number", "observation", plot=plot.pk, height_cm="tall")
        self.refused("Enter 100 or less", "observation", plot=plot.pk, lodged="101")
        self.refused("not a valid choice", "observation", plot=plot.pk, flower="blue")
        assert not Observation.objects.exists()

    def test_a_crop_is_seen_on_the_day_it_was_tapped(self):
        plot = make_plot(demonstration=self.demonstration, sown_on=TODAY)
        self.kept("observation", at=NOW - 50 * MINUTE, plot=plot.pk, height_cm="1")
        plot.sown_on += timedelta(days=1)
        plot.save()
        self.refused("sown on 13.08.2026", "observation", plot=plot.pk, height_cm="1")

    def test_a_photograph_goes_into_the_record_unseen(self):
        self.kept("picture", caption="The first stook", photograph=photograph())
        picture = Picture.objects.get()
        assert (picture.shown, picture.is_published) == (Shown.UNASKED, False)
        assert picture.alt_text == picture.caption == "The first stook"
        assert picture.gathering == self.gathering

    def test_a_photograph_is_described_in_its_own_words(self):
        said = {"caption": "A stook", "alt_text": "Twelve sheaves stand together."}
        self.kept("picture", photograph=photograph(), **said)
        assert Picture.objects.get().alt_text == "Twelve sheaves stand together."

    def test_what_is_no_photograph_is_refused(self):
        self.refused(
            "not a photograph",
            "picture",
            caption="A stook",
            photograph=b"not a picture",
        )
        self.refused("The photograph didn't arrive", "picture", caption="A stook")
        self.refused("in a few words", "picture", photograph=photograph())
        assert not Picture.objects.exists()

    def test_an_organiser_sends_as_well(self):
        organiser = make_organiser(demonstration=self.demonstration)
        receipt = receive(
            gathering=self.gathering,
            slip=slip("came", person=self.ann.pk),
            by=organiser.user,
            now=NOW,
        )
        assert receipt.outcome == Outcome.KEPT

    def ret(self):
        return make_ret(dam=make_dam(demonstration=self.demonstration))


class ReplayTests(Evening):
    """An evening of twenty people and twelve taps each, sent again and again."""

    def test_totals_are_exact_however_the_slips_arrive(self):
        people = [
            make_volunteer(demonstration=self.demonstration, user=None)
            for _ in range(20)
        ]
        chance = random.Random(12)
        slips, wanted = [], dict.fromkeys((one.pk for one in people), 0)
        for person in people:
            for tap in range(12):
                count = chance.choice([1, 1, 1, 5])
                wanted[person.pk] += count
                made = NOW - (tap + 1) * MINUTE
                slips.append(slip("beets", made, person=person.pk, count=count))
        other = make_organiser(demonstration=self.demonstration).user
        arrivals = [(by, one) for by in (self.lead.user, other) for one in slips]
        chance.shuffle(arrivals)
        for by, one in arrivals:
            receive(gathering=self.gathering, slip=one, by=by, now=NOW)
        sums = Entry.objects.of(self.demonstration).summed_by("volunteer")
        assert {row.key: row.beets for row in sums} == wanted
        assert Receipt.objects.count() == Entry.objects.count() == 240
