"""Dams, rets, readings and tests: what is kept, and what is refused and why."""

from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.dam import selectors, services
from heritage.dam.learning.services import add_look
from heritage.dam.logger.selectors import Look, Same
from heritage.dam.models import (
    Check,
    Dam,
    Finding,
    Reading,
    ReadingSource,
    Ret,
    Struck,
    Water,
)
from heritage.dam.readings import services as readings_services
from heritage.dam.readings.selectors import preview_readings
from heritage.tally.models import Entry
from tests.factories import (
    NOW,
    make_check,
    make_dam,
    make_demonstration,
    make_entry,
    make_filled,
    make_gathering,
    make_organiser,
    make_past_ret,
    make_pulled_lot,
    make_reading,
    make_ret,
    make_user,
)

HOUR = timedelta(hours=1)
MEASURES = {
    "name": "Lower dam",
    "top_length_m": Decimal(8),
    "top_width_m": Decimal(3),
    "bottom_length_m": Decimal(7),
    "bottom_width_m": Decimal(2),
    "depth_m": Decimal("1.2"),
    "inflow_lps": None,
    "stone_density": 2650,
    "stone_kg": Decimal(12),
}


class DamTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()

    def test_a_dam_is_added(self):
        services.keep_dam(dam=Dam(demonstration=self.demonstration), values=MEASURES)
        assert Dam.objects.get().name == "Lower dam"

    def test_a_dam_of_no_depth_is_refused_by_its_field(self):
        measures = MEASURES | {"depth_m": Decimal(0)}
        with pytest.raises(ValidationError) as refusal:
            services.keep_dam(
                dam=Dam(demonstration=self.demonstration), values=measures
            )
        assert "depth_m" in refusal.value.message_dict

    def test_measures_are_put_right(self):
        dam = make_dam(demonstration=self.demonstration)
        services.keep_dam(dam=dam, values=MEASURES | {"depth_m": Decimal("1.1")})
        dam.refresh_from_db()
        assert (dam.name, dam.depth_m) == ("Lower dam", Decimal("1.10"))

    def test_no_shallower_than_its_water(self):
        ret = make_ret(water_depth_m=Decimal("1.1"))
        measures = MEASURES | {"depth_m": Decimal(1)}
        with pytest.raises(
            ValidationError, match=r"m of water in this dam, so it's at least that deep"
        ):
            services.keep_dam(dam=ret.dam, values=measures)

    def test_water_that_fits_stays(self):
        ret = make_ret(water_depth_m=Decimal("1.1"))
        assert services.keep_dam(dam=ret.dam, values=MEASURES).depth_m == Decimal("1.2")


class FillTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.dam = make_dam()
        evening = make_gathering(
            demonstration=cls.dam.demonstration, starts_at=NOW - 30 * 24 * HOUR,
            ends_at=NOW - 30 * 24 * HOUR + HOUR,
        )  # fmt: skip
        cls.lot = make_pulled_lot(gathering=evening, beets=300)

    def fill(self, **fields):
        fields = {
            "dam": self.dam,
            "began_at": NOW - 2 * HOUR,
            "beets": 90,
            "water_depth_m": Decimal("1.1"),
            "beet_dry_kg": Decimal(3),
            "now": NOW,
        } | fields
        return services.fill(**fields)

    def test_a_ret_begins(self):
        self.fill()
        assert Ret.objects.going().get().beets == 90

    def test_a_second_ret_waits_for_the_lifting(self):
        self.fill()
        with pytest.raises(ValidationError, match="90 beets are in this dam"):
            self.fill()

    def test_water_stands_no_higher_than_the_rim(self):
        with pytest.raises(
            ValidationError,
            match=r"m deep. Measure the water again, or correct the dam's depth",
        ):
            self.fill(water_depth_m=Decimal("1.3"))

    def test_not_in_the_future(self):
        with pytest.raises(ValidationError, match="That time is in the future"):
            self.fill(began_at=NOW + HOUR)

    def test_not_in_water_that_had_flax_in_it(self):
        make_ret(dam=self.dam, lifted_at=NOW - 3 * HOUR)
        with pytest.raises(ValidationError, match="A ret begins in clean water"):
            self.fill()

    def test_not_before_the_dam_had_clean_water(self):
        make_past_ret(dam=self.dam, lifted_at=NOW - HOUR)
        with pytest.raises(ValidationError, match="This dam had no clean water then"):
            self.fill()
        self.fill(began_at=NOW)

    def test_no_more_than_was_pulled_and_is_not_elsewhere(self):
        """300 pulled, of which 150 rotted in another dam and are out again."""
        home = self.dam.demonstration
        past = make_past_ret(dam=make_dam(demonstration=home), beets=150)
        make_filled(ret=past, lot=self.lot)
        make_ret(beets=999)
        with pytest.raises(ValidationError) as refusal:
            self.fill(beets=151)
        assert refusal.value.message_dict["beets"] == [
            "The tally has 300 beets pulled, and 150 went into dams, so 150 can go in. "
            "Count again, or say below why there are more."
        ]
        assert self.fill(beets=150, why_more="Not needed").why_more == ""

    def test_more_with_a_written_reason(self):
        ret = self.fill(beets=301, why_more=" One sheaf from next door. ")
        assert ret.why_more == "One sheaf from next door."

    def test_a_slip_taken_back_in_the_tally_counts(self):
        entry = Entry.objects.get()
        make_entry(
            gathering=entry.gathering, beets=-250, corrects=entry, reason="Slip."
        )
        with pytest.raises(ValidationError, match="50 can go in"):
            self.fill()

    def test_no_beets_are_refused_by_their_field(self):
        with pytest.raises(ValidationError) as refusal:
            self.fill(beets=0)
        assert "beets" in refusal.value.message_dict


class LiftTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret()

    def lift(self, at=NOW, why="Frost was told."):
        return services.lift(ret=self.ret, lifted_at=at, why_untested=why, now=NOW)

    def test_the_lifting_is_recorded(self):
        self.lift()
        self.ret.refresh_from_db()
        assert self.ret.lifted_at == NOW

    def test_without_a_test_only_with_the_words_that_say_why(self):
        with pytest.raises(ValidationError, match="none was made") as refusal:
            self.lift(why=" ")
        assert "why_untested" in refusal.value.message_dict
        self.lift()
        self.ret.refresh_from_db()
        assert self.ret.why_untested == "Frost was told."

    def test_a_test_that_found_it_free_asks_for_no_words(self):
        make_check(ret=self.ret, at=NOW - HOUR, finding=Finding.FREE)
        assert self.lift().why_untested == ""

    def test_what_was_seen_from_the_bank_after_a_test_takes_nothing_back(self):
        make_check(ret=self.ret, at=NOW - 2 * HOUR, finding=Finding.FREE)
        make_check(ret=self.ret, at=NOW - HOUR, finding=Finding.SUNK)
        assert self.lift(why="").lifted_at == NOW

    def test_a_later_test_that_found_it_fast_counts(self):
        make_check(ret=self.ret, at=NOW - 2 * HOUR, finding=Finding.FREE)
        make_check(ret=self.ret, at=NOW - HOUR, finding=Finding.LOOSENING)
        with pytest.raises(ValidationError, match="draws part of the way"):
            self.lift(why="")

    def test_only_once(self):
        self.lift()
        with pytest.raises(ValidationError, match="This flax has already been lifted"):
            self.lift()

    def test_not_in_the_future(self):
        with pytest.raises(ValidationError, match="That time is in the future"):
            self.lift(NOW + HOUR)

    def test_not_before_it_went_in(self):
        with pytest.raises(
            ValidationError, match="Enter a time after the flax went in"
        ):
            self.lift(self.ret.began_at)

    def test_not_before_its_last_reading(self):
        make_reading(ret=self.ret, at=NOW)
        with pytest.raises(
            ValidationError, match="There's a later reading with the flax still in"
        ):
            self.lift(NOW - HOUR)

    def test_not_before_its_last_test(self):
        make_check(ret=self.ret, at=NOW)
        with pytest.raises(ValidationError, match="tested later than that"):
            self.lift(NOW - HOUR)


class WaterTests(TestCase):
    """From the lifting to clean water: each step with its moment, none left out."""

    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret(lifted_at=NOW - 5 * HOUR)

    def let_go(self, **said):
        said = {"went": Water.SPREAD, "leave": "River agency, 10 August"} | said
        return services.let_water_go(
            ret=self.ret, **{"went_at": NOW - 2 * HOUR, "now": NOW} | said
        )

    def make_clean(self, at=NOW):
        return services.make_clean(ret=self.ret, clean_at=at, now=NOW)

    def test_the_states_follow_each_other(self):
        assert make_ret().water == Water.WORKING
        assert self.ret.water == Water.SPENT
        assert self.let_go().water == Water.SPREAD
        assert self.make_clean().water == Water.CLEAN

    def test_nothing_goes_without_leave(self):
        with pytest.raises(ValidationError, match="Say who allowed it, and when"):
            self.let_go(leave=" ")

    def test_nothing_goes_while_the_flax_is_in_it(self):
        self.ret = make_ret()
        with pytest.raises(
            ValidationError, match="There's no spent water left from this ret"
        ):
            self.let_go()

    def test_nothing_goes_twice(self):
        self.let_go()
        with pytest.raises(
            ValidationError, match="There's no spent water left from this ret"
        ):
            self.let_go()

    def test_moments_in_their_order(self):
        with pytest.raises(ValidationError, match="That time is in the future"):
            self.let_go(went_at=NOW + HOUR)
        with pytest.raises(ValidationError, match="still in it"):
            self.let_go(went_at=NOW - 6 * HOUR)
        self.let_go()
        with pytest.raises(ValidationError, match="That time is in the future"):
            self.make_clean(NOW + HOUR)
        with pytest.raises(ValidationError, match="spent water was still in it"):
            self.make_clean(NOW - 3 * HOUR)

    def test_spent_water_is_not_clean_by_a_word(self):
        with pytest.raises(ValidationError, match="what became of the spent water"):
            self.make_clean()

    def test_an_end_nobody_knows_is_refused(self):
        with pytest.raises(ValidationError, match="not a valid choice"):
            self.let_go(went="drunk")


class CheckTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret(lifted_at=NOW - HOUR)
        cls.user = make_user()

    def check_at(self, at, finding=Finding.FREE):
        return add_look(ret=self.ret, at=at, found={finding: 1}, by=self.user, now=NOW)

    def test_a_finding_is_kept(self):
        self.check_at(NOW - 2 * HOUR)
        assert Check.objects.get().finding == Finding.FREE

    def test_not_in_the_future(self):
        with pytest.raises(ValidationError, match="That time is in the future"):
            self.check_at(NOW + HOUR)

    def test_not_before_it_went_in(self):
        with pytest.raises(ValidationError, match="The flax wasn't in the dam yet"):
            self.check_at(NOW - timedelta(days=9))

    def test_not_after_it_came_out(self):
        with pytest.raises(ValidationError, match="out of the dam by then"):
            self.check_at(NOW)

    def test_an_unknown_finding_is_refused(self):
        with pytest.raises(ValidationError, match="not a valid choice"):
            self.check_at(NOW - 2 * HOUR, "done")


class ReadingTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret()
        cls.user = make_user()

    def read(self, at=NOW, temp=Decimal("16.5"), **said):
        return readings_services.add_reading(
            ret=self.ret, at=at, temp_c=temp, by=self.user, now=NOW, **said
        )

    def put_right(self, reading, temp, at=None, user=None, **said):
        return readings_services.correct_reading(
            reading=reading,
            at=at or reading.at,
            temp_c=Decimal(temp),
            by=user or self.user,
            now=NOW,
            **said,
        )

    def test_what_water_cannot_do_is_asked_about_before_it_is_stored(self):
        self.read(NOW - 11 * HOUR, Decimal("16.9"))
        for temp, words in {
            "58.0": r"Is that in °F\? 58.0 °F is 14.4 °C",
            "34.0": "34.0 °C, and 16.9 °C 11 hours earlier",
            "0.5": "0.5 °C, and 16.9 °C 11 hours earlier",
        }.items():
            with pytest.raises(ValidationError, match=words) as asked:
                self.read(temp=Decimal(temp))
            assert set(asked.value.error_dict) == {"sure"}
        assert Reading.objects.count() == 1
        assert self.read(temp=Decimal("34.0"), sure=True).temp_c == Decimal("34.0")

    def test_the_reading_after_it_counts_too(self):
        self.read(NOW, Decimal("16.9"))
        with pytest.raises(ValidationError, match="2 hours later"):
            self.read(NOW - 2 * HOUR, Decimal("30.0"))

    def test_a_correction_stands_for_the_old_one_which_is_struck_and_kept(self):
        old = self.read(NOW - HOUR, Decimal("26.9"))
        new = self.put_right(old, "16.9")
        old.refresh_from_db()
        assert (old.struck_at, old.temp_c) == (NOW, Decimal("26.9"))
        assert (new.corrects, new.at) == (old, old.at)
        assert Reading.objects.standing().get() == new
        page = selectors.ret_page(self.ret, NOW)
        assert (page.readings, page.struck) == ((new,), (old,))
        assert page.state.last_reading == new
        (state,) = selectors.dam_states(self.ret.dam.demonstration, NOW)
        assert state.ret.last_reading == new

    def test_a_correction_is_asked_about_and_refused_like_a_reading(self):
        self.read(NOW - 2 * HOUR, Decimal("16.0"))
        old = self.read(NOW - HOUR, Decimal("16.9"))
        with pytest.raises(ValidationError, match="°F"):
            self.put_right(old, "58.0")
        with pytest.raises(ValidationError, match="reading for that time"):
            self.put_right(old, "16.1", at=NOW - 2 * HOUR)
        with pytest.raises(ValidationError, match="That's the same as before"):
            self.put_right(old, "16.9")
        old.refresh_from_db()
        assert old.struck_at is None
        self.put_right(old, "16.1", at=NOW - HOUR / 2)
        with pytest.raises(ValidationError, match="already corrected"):
            self.put_right(old, "16.2")

    def test_whoever_read_it_and_organisers_correct_it(self):
        old = self.read(NOW - HOUR, Decimal("16.9"))
        with pytest.raises(ValidationError, match="Only the reader"):
            self.put_right(old, "16.1", user=make_user())
        boss = make_organiser(demonstration=self.ret.dam.demonstration)
        assert self.put_right(old, "16.1", user=boss.user).entered_by == boss.user

    def test_a_typed_reading_is_kept(self):
        self.read()
        reading = Reading.objects.get()
        assert (reading.temp_c, reading.source) == (
            Decimal("16.5"),
            ReadingSource.TYPED,
        )

    def test_one_reading_a_moment(self):
        self.read()
        with pytest.raises(ValidationError, match="reading for that time"):
            self.read()

    def test_not_in_the_future(self):
        with pytest.raises(ValidationError, match="that time is in the future"):
            self.read(NOW + HOUR)

    def test_not_before_the_ret(self):
        with pytest.raises(ValidationError, match="before the flax"):
            self.read(self.ret.began_at - HOUR)

    def test_not_after_the_lifting(self):
        services.lift(
            ret=self.ret, lifted_at=NOW - HOUR, why_untested="Frost.", now=NOW
        )
        with pytest.raises(ValidationError, match="after the flax was lifted"):
            self.read()

    def test_two_thermometers_are_asked_about_and_their_mean_stands(self):
        self.read(temp=Decimal("16.0"))
        with pytest.raises(ValidationError, match=r"their mean, 16\.4 °C, will stand"):
            self.read(temp=Decimal("16.8"))
        assert Reading.objects.count() == 1
        mean = self.read(temp=Decimal("16.8"), sure=True)
        assert Reading.objects.standing().get() == mean
        assert mean.temp_c == Decimal("16.4")
        kept = Reading.objects.struck()
        assert {row.temp_c for row in kept} == {Decimal("16.0"), Decimal("16.8")}
        assert {row.struck_why for row in kept} == {Struck.MERGED}

    def strike(self, reading, why="out", by=None):
        return readings_services.strike_reading(
            reading=reading, why=why, by=by or self.user, now=NOW
        )

    def test_one_that_cannot_be_believed_is_struck_and_kept(self):
        reading = self.read()
        with pytest.raises(ValidationError, match="Choose why"):
            self.strike(reading, why="")
        with pytest.raises(ValidationError, match="a lead or an organiser"):
            self.strike(reading, by=make_user())
        struck = self.strike(reading)
        assert not Reading.objects.standing().exists()
        assert Reading.objects.get().struck_why == Struck.OUT
        with pytest.raises(ValidationError, match="already"):
            self.strike(struck)

    def test_no_water_is_so_hot(self):
        with pytest.raises(ValidationError) as refusal:
            self.read(temp=Decimal(61))
        assert "temp_c" in refusal.value.message_dict


class ImportTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.ret = make_ret()
        cls.user = make_user()

    def preview(self, text):
        return preview_readings(ret=self.ret, data=text.encode(), now=NOW)

    def take(self, rows, same=Same.BOOK):
        return readings_services.import_readings(
            ret=self.ret,
            wanted=readings_services.Wanted(rows, same),
            by=self.user,
            now=NOW,
        )

    def verdicts(self, text):
        return [line.why_not for line in self.preview(text).lines]

    def test_rows_that_water_cannot_give_are_asked_about(self):
        """A logger lying in the sun, or set to °F, for an hour."""
        make_reading(ret=self.ret, at=NOW - timedelta(days=2), temp_c=Decimal("16.0"))
        found = self.preview(
            "time,water\n"
            "2026-08-12 08:00,15.5\n"
            "2026-08-12 09:00,34.0\n"
            "2026-08-12 09:30,60.0\n"
            "2026-08-12 10:00,33.5\n"
            "2026-08-12 11:00,16.0\n"
        )
        assert [row.temp_c for row in found.good] == [Decimal("15.5"), Decimal("16.0")]
        doubts = [line.doubt for line in found.doubtful]
        assert "34.0 °C, and 15.5 °C 1 hours earlier" in doubts[0]
        assert "60.0 °F is 15.6 °C" in doubts[1]
        assert "33.5 °C, and 15.5 °C 2 hours earlier" in doubts[2]
        assert len(found.rows) == 2
        assert len(found.doubtful_rows) == 3

    def test_a_struck_reading_leaves_its_moment_free(self):
        make_reading(ret=self.ret, at=NOW - timedelta(days=1), struck_at=NOW)
        assert self.verdicts("2026-08-11 18:40,15") == [""]

    def test_looking_writes_nothing(self):
        assert len(self.preview("2026-08-10 08:00,15.5").good) == 1
        assert not Reading.objects.exists()

    def test_each_bad_row_says_why(self):
        make_reading(ret=self.ret, at=NOW - timedelta(days=1))  # 18:40 in the field
        assert self.verdicts(
            "time,water\n"
            "2026-08-10 08:00,15.5\n"
            "2026-08-10 08:00,15.6\n"
            "2026-08-01 08:00,15\n"
            "2026-08-12 18:41,15\n"
            "2026-08-11 18:40,15\n"
            "2026-08-10 09:00,warm\n"
            "2026-08-10 09:00,15.7\n"
        ) == [
            "",
            "",
            "before the flax went under water",
            "that time is in the future",
            "the book has 16.0 °C for this moment",
            "“warm” isn't a number",
            "",
        ]

    def test_rows_after_the_lifting_are_bad(self):
        services.lift(
            ret=self.ret, lifted_at=NOW - 2 * HOUR, why_untested="Frost.", now=NOW
        )
        self.ret.refresh_from_db()
        assert self.verdicts("2026-08-12 18:00,15") == ["after the flax was lifted"]

    def test_exactly_the_good_rows_are_kept(self):
        preview = self.preview("2026-08-10 08:00,15.5\n2026-08-10 09:00,99\n")
        assert [line.number for line in preview.bad] == [2]
        assert self.take(preview.rows) == readings_services.Imported(added=1, already=0)
        reading = Reading.objects.get()
        assert reading.at.isoformat() == "2026-08-10T07:00:00+00:00"
        assert (reading.temp_c, reading.source) == (
            Decimal("15.5"),
            ReadingSource.LOGGER,
        )

    def test_a_second_press_does_no_harm(self):
        rows = self.preview("2026-08-10 08:00,15.5\n2026-08-10 09:00,15.6\n").rows
        self.take(rows)
        assert self.take(rows) == readings_services.Imported(added=0, already=2)
        assert Reading.objects.count() == 2

    def both(self, same):
        """Look at a file beside a typed reading, and take it in twice."""
        made = make_reading(ret=self.ret, at=NOW - timedelta(days=1))
        text = b"2026-08-11 18:40,17.0\n2026-08-11 19:40,17.0\n"
        look = Look(same=same)
        found = preview_readings(ret=self.ret, data=text, now=NOW, look=look)
        assert found.met == 1
        self.take(found.rows, same)
        again = self.take(found.rows, same)
        assert again == readings_services.Imported(added=0, already=len(found.rows))
        made.refresh_from_db()
        standing = Reading.objects.standing().in_order()
        return made, [str(row.temp_c) for row in standing]

    def test_a_file_leaves_what_was_typed(self):
        made, standing = self.both(Same.BOOK)
        assert (made.struck_at, standing) == (None, ["16.0", "17.0"])

    def test_a_file_and_what_was_typed_make_a_mean(self):
        made, standing = self.both(Same.MEAN)
        assert (made.struck_why, standing) == (Struck.MERGED, ["16.5", "17.0"])
        assert Reading.objects.count() == 4

    def test_a_file_stands_for_what_was_typed_if_a_lead_says_so(self):
        with pytest.raises(ValidationError, match="Only a lead"):
            self.both(Same.FILE)
        Reading.objects.all().delete()
        where = self.ret.dam.demonstration
        make_organiser(demonstration=where, user=self.user)
        made, standing = self.both(Same.FILE)
        assert (made.struck_why, standing) == (Struck.CORRECTED, ["17.0", "17.0"])
        assert made.correction.source == ReadingSource.LOGGER

    def test_what_was_saved_before_is_no_fault_of_a_longer_file(self):
        """A logger whose whole memory is read each time, once merged and once not."""
        text = "2026-08-10 08:00,15.5\n2026-08-11 18:40,17.0\n"
        make_reading(ret=self.ret, at=NOW - timedelta(days=1))
        look = Look(same=Same.MEAN)
        found = preview_readings(ret=self.ret, data=text.encode(), now=NOW, look=look)
        self.take(found.rows, Same.MEAN)
        again = self.preview(text + "2026-08-12 08:00,16.0\n")
        assert (again.already, again.met, again.bad) == (2, 0, ())
        assert [row.temp_c for row in again.rows] == [16]

    def test_two_rows_of_one_moment_make_a_mean(self):
        found = self.preview(
            "2026-08-10 08:00,15.0\n2026-08-10 08:00,16.0\n"
            "2026-08-10 09:00,15.0\n2026-08-10 09:00,19.5\n"
        )
        assert [row.temp_c for row in found.good] == [Decimal("15.5")]
        assert "lines 1, 2" in found.good[0].note
        assert found.joined == 2
        assert "4.5 °C apart" in found.doubtful[0].doubt

    def test_gaps_are_said(self):
        hours = [*range(8), *range(20, 24)]
        lines = "".join(f"2026-08-10 {hour:02}:00,15.5\n" for hour in hours)
        (gap,) = self.preview(lines).gaps
        assert (gap.hours, gap.start.hour) == (13, 6)

    def test_one_reading_in_half_an_hour_counts_of_a_dense_log(self):
        lines = [f"2026-08-10 08:{minute:02},15.5" for minute in range(0, 60, 5)]
        self.take(self.preview("\n".join(lines)).rows)
        counting = Reading.objects.counting().in_order()
        assert [row.at.minute for row in counting] == [0, 30, 55]
        assert Reading.objects.standing().count() == 12

    def test_all_or_none_when_the_ret_has_changed(self):
        rows = self.preview("2026-08-10 08:00,15.5\n2026-08-12 18:00,15.6\n").rows
        services.lift(
            ret=self.ret, lifted_at=NOW - 2 * HOUR, why_untested="Frost.", now=NOW
        )
        with pytest.raises(ValidationError, match="has changed"):
            self.take(rows)
        assert not Reading.objects.exists()
