"""The crop's book: lots from the tally, moves, partings, corrections and shortages."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.lots import services
from heritage.lots.models import Loss, Lot, Move, Place, Rippled
from heritage.lots.selectors import (
    LotAt,
    came_from,
    lots_at,
    short_by,
    stands,
    stock,
    went_into,
)
from heritage.lots.services import Amount
from heritage.tally import services as tally
from tests.factories import (
    make_gathering,
    make_lot,
    make_organiser,
    make_plot,
    make_volunteer,
)

HOUR = timedelta(hours=1)


class CropTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.gathering = make_gathering()
        cls.here = cls.gathering.demonstration
        cls.nora = make_organiser(demonstration=cls.here)
        cls.by = cls.nora.user
        cls.ann = make_volunteer(demonstration=cls.here)
        cls.begun = cls.gathering.starts_at
        cls.now = cls.begun + 30 * HOUR
        cls.entry = cls.pull(cls, 40)
        cls.lot = Lot.objects.get()

    def pull(self, beets, **fields):
        fields = {"gathering": self.gathering, "volunteer": self.ann} | fields
        return tally.log_beets(beets=beets, by=self.by, now=self.begun + HOUR, **fields)

    def move(self, source=Place.STOOK, target=Place.CART, beets=None, hours=2, **given):
        if "amount" not in given:
            given["amount"] = Amount(beets=beets)
        given = {"lot": self.lot, "by": self.by, "now": self.now} | given
        at = self.begun + hours * HOUR
        return services.move(source=source, target=target, at=at, **given)

    def opened(self, beets=10, weighed_g=22_000, **given):
        amount = Amount(beets, weighed_g, Decimal("12"))
        return self.move(Place.STOOK, Place.BRAKE, amount=amount, **given)


class LotsOfTheTallyTests(CropTests):
    def test_the_first_entry_of_an_evening_makes_its_lot(self):
        assert (self.lot.number, self.lot.gathering) == (1, self.gathering)
        assert self.lot.made_at == self.begun
        assert str(self.lot) == "Lot 1"

    def test_more_entries_count_in_the_same_lot(self):
        self.pull(2)
        assert Lot.objects.get() == self.lot
        assert lots_at(self.here, Place.STOOK) == [LotAt(self.lot, 42, 0)]

    def test_another_plot_is_another_lot(self):
        plot = make_plot(demonstration=self.here)
        self.pull(5, plot=plot)
        other = Lot.objects.get(plot=plot)
        assert other.number == 2
        assert [(one.lot, one.beets) for one in lots_at(self.here, Place.STOOK)] == [
            (self.lot, 40),
            (other, 5),
        ]

    def test_each_demonstration_counts_its_own(self):
        elsewhere = make_gathering()
        who = make_volunteer(demonstration=elsewhere.demonstration)
        self.pull(5, gathering=elsewhere, volunteer=who)
        assert Lot.objects.of(elsewhere.demonstration).get().number == 1

    def test_beets_entered_before_the_posted_start_are_a_lot_from_then(self):
        early = make_gathering(demonstration=self.here)
        tally.log_beets(
            gathering=early, volunteer=self.ann, beets=3, by=self.by,
            now=early.starts_at - HOUR,
        )  # fmt: skip
        assert Lot.objects.get(gathering=early).made_at == early.starts_at - HOUR

    def test_what_the_tally_corrects_is_corrected_in_the_lot(self):
        tally.correct(
            entry=self.entry, right_beets=38, reason="Two twice.", by=self.by,
            now=self.now,
        )  # fmt: skip
        assert stock(self.here) == {Place.STOOK: (38, 0)}


class MoveTests(CropTests):
    def test_a_move_takes_beets_from_one_place_to_another(self):
        move = self.move(beets=15, who=self.ann, note=" Wet. ")
        move.refresh_from_db()
        assert (move.lot, move.to_lot, move.beets) == (self.lot, self.lot, 15)
        assert (move.who, move.note, move.entered_by) == (self.ann, "Wet.", self.by)
        assert stock(self.here) == {Place.STOOK: (25, 0), Place.CART: (15, 0)}

    def test_the_same_key_twice_is_the_same_move(self):
        key = uuid.uuid4()
        assert self.move(beets=15, key=key) == self.move(beets=20, key=key)
        assert Move.objects.count() == 1

    def test_no_more_goes_out_than_is_in(self):
        with pytest.raises(ValidationError, match=r"has 40 beets in the field .* 41"):
            self.move(beets=41)

    def test_nothing_is_taken_that_is_missing_later(self):
        self.move(beets=30, hours=5)
        with pytest.raises(ValidationError, match="has 10 beets in the field"):
            self.move(beets=20, hours=2)
        self.move(beets=10, hours=2)

    def test_nothing_is_taken_before_it_came(self):
        self.move(beets=30, hours=5)
        with pytest.raises(ValidationError, match="has 0 beets on the cart"):
            self.move(Place.CART, Place.DAM, beets=10, hours=4)
        self.move(Place.CART, Place.DAM, beets=10, hours=5)

    def test_no_move_is_before_its_lot(self):
        with pytest.raises(ValidationError, match="since 13 August at 18:30"):
            self.move(beets=5, hours=-1)

    def test_no_move_is_still_to_come(self):
        with pytest.raises(ValidationError, match="in the future"):
            self.move(beets=5, hours=31)

    def test_lots_and_people_of_elsewhere_are_refused(self):
        with pytest.raises(ValidationError, match="another demonstration"):
            self.move(beets=5, to_lot=make_lot(made_at=self.begun))
        with pytest.raises(ValidationError, match="on the list here"):
            self.move(beets=5, who=make_volunteer())

    def test_places_that_do_not_go_together_are_refused_with_the_reason(self):
        with pytest.raises(ValidationError, match="already there"):
            self.move(Place.STOOK, Place.STOOK, beets=5)
        with pytest.raises(ValidationError, match="what became of what was lost"):
            self.move(Place.STOOK, Place.LOST, beets=5)
        with pytest.raises(ValidationError, match="counted wrongly"):
            self.move(Place.LOST, Place.STOOK, beets=5, loss=Loss.EATEN)
        with pytest.raises(ValidationError, match="from the brake on"):
            self.move(Place.STOOK, Place.BRAKE, beets=5)

    def test_what_is_lost_is_somewhere_too(self):
        self.move(Place.STOOK, Place.LOST, beets=3, loss=Loss.EATEN)
        assert stock(self.here) == {Place.STOOK: (37, 0), Place.LOST: (3, 0)}

    def test_beets_may_go_back(self):
        self.move(beets=15)
        self.move(Place.CART, Place.STOOK, beets=15, hours=3)
        assert stock(self.here) == {Place.STOOK: (40, 0)}


class FibreTests(CropTests):
    def test_at_the_brake_beets_become_dry_weight(self):
        move = self.opened()
        assert (move.dry_g, move.weighed_g, move.moisture_permille) == (
            19_360, 22_000, 120,
        )  # fmt: skip
        assert stock(self.here) == {Place.STOOK: (30, 0), Place.BRAKE: (0, 19_360)}

    def test_water_that_nobody_measured_is_assumed_and_not_kept_as_measured(self):
        amount = Amount(beets=10, weighed_g=10_000)
        move = self.move(Place.STOOK, Place.BRAKE, amount=amount)
        assert (move.dry_g, move.moisture_permille) == (8800, None)

    def test_no_more_fibre_goes_out_than_came_in(self):
        self.opened()
        amount = Amount(dry_g=19_361)
        with pytest.raises(ValidationError, match="19360 dry grams at the brake"):
            self.move(Place.BRAKE, Place.SCUTCH, amount=amount, hours=3)

    def test_line_tow_shive_and_dust_come_to_what_went_in(self):
        self.opened()
        for target, dry_g, loss in (
            (Place.LINE, 3000, ""),
            (Place.TOW, 2000, ""),
            (Place.SHIVE, 14_000, ""),
            (Place.LOST, 360, Loss.DUST),
        ):
            amount = Amount(dry_g=dry_g)
            self.move(Place.BRAKE, target, amount=amount, hours=3, loss=loss)
        assert Place.BRAKE not in stock(self.here)
        assert sum(grams for _beets, grams in stock(self.here).values()) == 19_360

    def test_seed_is_weighed_and_the_beets_stay(self):
        self.move(Place.STOOK, Place.SEED, amount=Amount(weighed_g=1000))
        assert stock(self.here) == {Place.STOOK: (40, 0), Place.SEED: (0, 880)}

    def test_no_seed_comes_off_beets_that_are_not_there(self):
        with pytest.raises(ValidationError, match="has 0 beets on the cart"):
            self.move(Place.CART, Place.SEED, amount=Amount(weighed_g=1000))

    def test_a_scale_that_says_nothing_is_asked_again(self):
        with pytest.raises(ValidationError, match="what the scale says"):
            self.opened(weighed_g=0)
        amount = Amount(10, 22_000, Decimal(81))
        with pytest.raises(ValidationError, match="0 to 80"):
            self.move(Place.STOOK, Place.BRAKE, amount=amount)


class CorrectTests(CropTests):
    def correct(self, move, reason="Counted twice."):
        return services.correct(move=move, reason=reason, by=self.by, now=self.now)

    def test_a_correction_goes_back_at_the_same_moment(self):
        move = self.move(beets=15)
        counter = self.correct(move)
        assert (counter.source, counter.target) == (Place.CART, Place.STOOK)
        assert (counter.at, counter.corrects) == (move.at, move)
        assert stock(self.here) == {Place.STOOK: (40, 0)}
        assert not Move.objects.standing().exists()

    def test_an_opening_is_taken_back_whole(self):
        self.correct(self.opened())
        assert stock(self.here) == {Place.STOOK: (40, 0)}

    def test_seed_and_losses_are_taken_back(self):
        self.correct(self.move(Place.STOOK, Place.SEED, amount=Amount(weighed_g=900)))
        self.correct(self.move(Place.STOOK, Place.LOST, beets=3, loss=Loss.EATEN))
        assert stock(self.here) == {Place.STOOK: (40, 0)}

    def test_what_went_on_since_is_corrected_first(self):
        move = self.move(beets=15)
        onward = self.move(Place.CART, Place.DAM, beets=10, hours=4)
        with pytest.raises(ValidationError, match="has 5 beets on the cart"):
            self.correct(move)
        self.correct(onward)
        self.correct(move)

    def test_a_correction_says_why_once_and_of_the_first_move(self):
        move = self.move(beets=15)
        with pytest.raises(ValidationError, match="Say why"):
            self.correct(move, " ")
        counter = self.correct(move)
        with pytest.raises(ValidationError, match="already corrected"):
            self.correct(move)
        with pytest.raises(ValidationError, match="not its correction"):
            self.correct(counter)


class PartAndPutTogetherTests(CropTests):
    def part(self, beets, hours=3, **given):
        given = {"lot": self.lot, "place": Place.STOOK} | given
        return services.part(
            amount=Amount(beets=beets), at=self.begun + hours * HOUR, by=self.by,
            now=self.now, **given,
        )  # fmt: skip

    def together(self, *parts, place=Place.STOOK, hours=4, **given):
        return services.put_together(
            parts=[(lot, Amount(beets=beets)) for lot, beets in parts], place=place,
            at=self.begun + hours * HOUR, by=self.by, now=self.now, **given,
        )  # fmt: skip

    def test_a_part_is_a_lot_of_its_own(self):
        new = self.part(12, note="For the second dam.")
        assert (new.number, new.is_pulled) == (2, False)
        assert (came_from(new), went_into(self.lot)) == ([self.lot], [new])
        assert (came_from(self.lot), went_into(new)) == ([], [])
        assert stands(new, Place.STOOK, self.now) == 12
        assert stock(self.here) == {Place.STOOK: (40, 0)}

    def test_a_part_twice_by_its_key_is_one_lot(self):
        key = uuid.uuid4()
        assert self.part(12, key=key) == self.part(12, key=key)
        assert Lot.objects.count() == 2

    def test_no_part_is_larger_than_its_lot(self):
        with pytest.raises(ValidationError, match="has 40 beets"):
            self.part(41)
        assert Lot.objects.get() == self.lot

    def test_lots_put_together_are_one_and_what_came_from_what_is_known(self):
        self.pull(5, plot=make_plot(demonstration=self.here))
        other = Lot.objects.get(number=2)
        new = self.together((self.lot, 40), (other, 5))
        assert came_from(new) == [self.lot, other]
        assert [(one.lot, one.beets) for one in lots_at(self.here, Place.STOOK)] == [
            (new, 45)
        ]

    def test_what_is_alike_of_the_seed_is_kept(self):
        other = self.part(12)
        lot = services.choose_rippling(lot=self.lot, rippled=Rippled.BEFORE)
        assert self.together((lot, 5), (other, 5)).rippled == Rippled.WHOLE
        other = services.choose_rippling(lot=other, rippled=Rippled.BEFORE)
        assert self.together((lot, 5), (other, 5)).rippled == Rippled.BEFORE

    def test_nothing_makes_no_lot(self):
        with pytest.raises(ValidationError, match="Choose the lots"):
            self.together()

    def test_a_part_taken_back_comes_from_nothing(self):
        new = self.part(12)
        services.correct(
            move=Move.objects.get(), reason="Not parted.", by=self.by, now=self.now
        )
        assert (came_from(new), went_into(self.lot)) == ([], [])


class ShortTests(CropTests):
    def corrected_to(self, beets):
        tally.correct(
            entry=self.entry, right_beets=beets, reason="Miscounted.", by=self.by,
            now=self.now,
        )  # fmt: skip

    def settle(self, note="The cart was counted twice by two people."):
        return services.settle(lot=self.lot, note=note, by=self.by, now=self.now)

    def test_a_tally_corrected_below_what_was_moved_leaves_the_lot_short(self):
        self.move(beets=35)
        self.corrected_to(32)
        assert short_by(self.lot) == 3

    def test_beets_that_came_back_later_do_not_hide_it(self):
        self.move(beets=40)
        self.move(Place.CART, Place.STOOK, beets=40, hours=3)
        self.corrected_to(32)
        assert short_by(self.lot) == 8

    def test_a_short_lot_gives_nothing_more_and_takes_back_what_was_moved(self):
        move = self.move(beets=35)
        self.corrected_to(32)
        with pytest.raises(ValidationError, match="has 0 beets in the field"):
            self.move(beets=1, hours=3)
        services.correct(move=move, reason="Fewer.", by=self.by, now=self.now)
        assert short_by(self.lot) == 0

    def test_settling_counts_in_what_was_moved(self):
        self.move(beets=35)
        self.corrected_to(32)
        found = self.settle()
        assert (found.source, found.beets, found.loss) == ("lost", 3, "miscounted")
        assert short_by(self.lot) == 0
        assert stock(self.here) == {Place.CART: (35, 0), Place.LOST: (-3, 0)}

    def test_settling_says_what_is_known_and_only_of_a_short_lot(self):
        with pytest.raises(ValidationError, match="has all the beets"):
            self.settle()
        self.move(beets=35)
        self.corrected_to(32)
        with pytest.raises(ValidationError, match="Say which count"):
            self.settle(" ")
