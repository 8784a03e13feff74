"""What the database itself refuses in the crop's lots and moves."""

import pytest
from django.db import IntegrityError, transaction
from django.db.utils import InternalError
from django.test import TestCase

from heritage.lots.models import Loss, Lot, Move, Place
from tests.factories import NOW, make_lot, make_move, make_plot, make_pulled_lot


def refused(make, **fields):
    with pytest.raises((IntegrityError, InternalError)), transaction.atomic():
        make(**fields)


class LotRuleTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.lot = make_pulled_lot()
        cls.here = cls.lot.demonstration

    def test_a_number_is_given_once(self):
        refused(make_lot, demonstration=self.here, number=self.lot.number)

    def test_numbers_begin_at_one(self):
        refused(make_lot, demonstration=self.here, number=0)

    def test_an_evenings_pull_without_a_plot_is_one_lot(self):
        refused(make_lot, gathering=self.lot.gathering)

    def test_an_evenings_pull_of_a_plot_is_one_lot(self):
        plot = make_plot(demonstration=self.here)
        make_lot(gathering=self.lot.gathering, plot=plot)
        refused(make_lot, gathering=self.lot.gathering, plot=plot)

    def test_a_plot_needs_its_evening(self):
        refused(make_lot, plot=make_plot(demonstration=self.here))

    def test_nothing_else_is_done_with_the_seed(self):
        refused(make_lot, demonstration=self.here, rippled="eaten")

    def test_only_the_rippling_of_a_lot_changes(self):
        Lot.objects.filter(pk=self.lot.pk).update(rippled="before")
        rows = Lot.objects.filter(pk=self.lot.pk)
        for fields in ({"number": 9}, {"made_at": NOW}, {"gathering": None}):
            refused(rows.update, **fields)


class MoveRuleTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.lot = make_pulled_lot()
        cls.move = make_move(lot=cls.lot)

    def refused(self, **fields):
        refused(make_move, lot=self.lot, **fields)

    def test_a_move_is_never_changed_or_removed(self):
        rows = Move.objects.filter(pk=self.move.pk)
        refused(rows.update, note="Another.")
        refused(rows.delete)

    def test_a_move_goes_somewhere(self):
        self.refused(source=Place.CART, target=Place.CART)

    def test_a_move_of_beets_counts_some(self):
        self.refused(beets=0)
        self.refused(beets=None)
        self.refused(dry_g=4000)

    def test_from_the_brake_on_fibre_is_weighed(self):
        on = {"source": Place.BRAKE, "target": Place.SCUTCH}
        self.refused(beets=5, **on)
        self.refused(beets=None, dry_g=0, **on)
        make_move(lot=self.lot, beets=None, dry_g=4000, **on)

    def test_a_lot_is_opened_with_its_beets_and_its_weight(self):
        opened = {"source": Place.STORE, "target": Place.BRAKE}
        self.refused(beets=5, **opened)
        self.refused(beets=None, dry_g=4000, **opened)
        make_move(lot=self.lot, beets=5, dry_g=4000, **opened)

    def test_what_was_broken_is_no_beet_again(self):
        back = {"source": Place.BRAKE, "target": Place.STORE, "beets": 5}
        self.refused(dry_g=4000, **back)
        self.refused(source=Place.LINE, target=Place.STORE, beets=5, dry_g=4000)

    def test_only_an_opening_takes_a_beet_past_the_brake(self):
        self.refused(source=Place.STORE, target=Place.SCUTCH, beets=5, dry_g=4000)

    def test_seed_is_weighed_and_leaves_the_beets(self):
        off = {"source": Place.STOOK, "target": Place.SEED}
        self.refused(beets=5, dry_g=900, **off)
        make_move(lot=self.lot, beets=None, dry_g=900, **off)

    def test_what_is_lost_says_how_and_nothing_else_does(self):
        self.refused(target=Place.LOST)
        self.refused(target=Place.LOST, loss="stolen")
        self.refused(loss=Loss.ROTTED)
        make_move(lot=self.lot, target=Place.LOST, loss=Loss.ROTTED)

    def test_only_what_was_miscounted_is_found(self):
        found = {"source": Place.LOST, "target": Place.STOOK}
        self.refused(loss=Loss.ROTTED, **found)
        make_move(lot=self.lot, loss=Loss.MISCOUNTED, **found)

    def test_a_correction_says_why_and_is_the_only_one(self):
        back = {"source": Place.CART, "target": Place.STOOK, "corrects": self.move}
        self.refused(**back)
        make_move(lot=self.lot, reason="Counted twice.", **back)
        self.refused(reason="Again.", **back)

    def test_water_is_said_of_what_was_weighed_and_adds_no_weight(self):
        on = {"source": Place.BRAKE, "target": Place.SCUTCH, "beets": None}
        self.refused(dry_g=4000, moisture_permille=120, **on)
        self.refused(dry_g=4000, weighed_g=3999, **on)

    def test_one_key_is_one_move(self):
        self.refused(key=self.move.key)

    def test_no_place_is_unknown(self):
        self.refused(target="moon")
