"""At every moment all of the crop is somewhere, whatever has been written down.

Random histories of the book: entries and their corrections in the tally, moves,
partings, puttings together, openings at the brake, losses and counter-entries. Each is
offered to the services, which take or refuse it; after each the sums must be right.
"""

from datetime import timedelta

import hypothesis.strategies as st
import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from django.test import TestCase
from hypothesis import HealthCheck, settings
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
)

from heritage.lots import services
from heritage.lots.models import AT_WORK, IN_BEETS, IN_GRAMS, Loss, Lot, Move, Place
from heritage.lots.selectors import balances, short_by
from heritage.lots.services import Amount
from heritage.tally import services as tally
from heritage.tally.models import Entry
from tests.factories import make_gathering, make_organiser, make_plot, make_volunteer

HOURS = st.integers(0, 12)
BEETS = st.integers(1, 12)
GRAMS = st.integers(1, 9000)
PICK = st.integers(0, 10_000)
BEET_PLACES = st.sampled_from(IN_BEETS)
GRAM_PLACES = st.sampled_from(IN_GRAMS)
LOSSES = st.sampled_from(Loss.values)


def entered(moves, place):
    """Return the moves from beets to a place where fibre is weighed, and those back."""
    into = [m for m in moves if m.target == place and m.source in IN_BEETS]
    return into, [m for m in moves if m.source == place and m.target in IN_BEETS]


class Crop(RuleBasedStateMachine):
    def __init__(self):
        super().__init__()
        self.history = transaction.atomic()
        self.history.__enter__()
        self.gathering = make_gathering()
        self.here = self.gathering.demonstration
        self.by = make_organiser(demonstration=self.here).user
        self.ann = make_volunteer(demonstration=self.here)
        self.plots = [None, make_plot(demonstration=self.here)]
        self.begun = self.gathering.starts_at
        self.now = self.begun + timedelta(hours=13)
        self.taken = 0

    def teardown(self):
        """Forget this history before the next."""
        transaction.set_rollback(True)
        self.history.__exit__(None, None, None)

    def at(self, hours):
        return self.begun + timedelta(hours=hours)

    def one(self, rows, pick):
        rows = list(rows.order_by("pk"))
        return rows[pick % len(rows)] if rows else None

    def lot(self, pick):
        return self.one(Lot.objects.of(self.here), pick)

    def offer(self, service, **given):
        try:
            service(by=self.by, now=self.now, **given)
        except ValidationError:
            return
        self.taken += 1

    @rule(beets=BEETS, plot=st.integers(0, 1))
    def pull(self, beets, plot):
        self.offer(
            tally.log_beets,
            gathering=self.gathering,
            volunteer=self.ann,
            beets=beets,
            plot=self.plots[plot],
        )

    @precondition(lambda self: Entry.objects.exists())
    @rule(pick=PICK, beets=st.integers(0, 12))
    def correct_the_tally(self, pick, beets):
        entry = self.one(Entry.objects.filter(corrects=None), pick)
        self.offer(tally.correct, entry=entry, right_beets=beets, reason="Wrong.")

    @precondition(lambda self: Lot.objects.exists())
    @rule(
        pick=PICK,
        to=PICK,
        source=BEET_PLACES,
        goes=BEET_PLACES,
        beets=BEETS,
        at=HOURS,
    )
    def move_beets(self, pick, to, source, goes, beets, at):
        self.offer(
            services.move,
            lot=self.lot(pick),
            to_lot=self.lot(to),
            source=source,
            target=goes,
            amount=Amount(beets=beets),
            at=self.at(at),
        )

    @precondition(lambda self: Lot.objects.exists())
    @rule(pick=PICK, source=BEET_PLACES, beets=BEETS, grams=GRAMS, at=HOURS)
    def open_at_the_brake(self, pick, source, beets, grams, at):
        self.offer(
            services.move,
            lot=self.lot(pick),
            source=source,
            target=Place.BRAKE,
            amount=Amount(beets=beets, weighed_g=grams),
            at=self.at(at),
        )

    @precondition(lambda self: Lot.objects.exists())
    @rule(pick=PICK, source=BEET_PLACES, grams=GRAMS, at=HOURS)
    def comb_off_the_seed(self, pick, source, grams, at):
        self.offer(
            services.move,
            lot=self.lot(pick),
            source=source,
            target=Place.SEED,
            amount=Amount(weighed_g=grams),
            at=self.at(at),
        )

    @precondition(lambda self: Move.objects.filter(target=Place.BRAKE).exists())
    @rule(
        pick=PICK,
        source=st.sampled_from(AT_WORK),
        goes=GRAM_PLACES,
        grams=GRAMS,
        at=HOURS,
    )
    def work_the_fibre(self, pick, source, goes, grams, at):
        self.offer(
            services.move,
            lot=self.lot(pick),
            source=source,
            target=goes,
            amount=Amount(dry_g=grams),
            at=self.at(at),
        )

    @precondition(lambda self: Lot.objects.exists())
    @rule(pick=PICK, source=st.sampled_from(Place), loss=LOSSES, much=BEETS, at=HOURS)
    def lose(self, pick, source, loss, much, at):
        in_beets = source.in_beets
        amount = Amount(beets=much) if in_beets else Amount(dry_g=much * 100)
        self.offer(
            services.move,
            lot=self.lot(pick),
            source=source,
            target=Place.LOST,
            loss=loss,
            amount=amount,
            at=self.at(at),
        )

    @precondition(lambda self: Lot.objects.exists())
    @rule(pick=PICK, goes=BEET_PLACES, loss=LOSSES, beets=BEETS, at=HOURS)
    def find(self, pick, goes, loss, beets, at):
        self.offer(
            services.move,
            lot=self.lot(pick),
            source=Place.LOST,
            target=goes,
            loss=loss,
            amount=Amount(beets=beets),
            at=self.at(at),
        )

    @precondition(lambda self: Lot.objects.exists())
    @rule(pick=PICK, place=BEET_PLACES, beets=BEETS, at=HOURS)
    def part(self, pick, place, beets, at):
        self.offer(
            services.part,
            lot=self.lot(pick),
            place=place,
            amount=Amount(beets=beets),
            at=self.at(at),
        )

    @precondition(lambda self: Lot.objects.count() > 1)
    @rule(pick=PICK, place=BEET_PLACES, some=BEETS, more=BEETS, at=HOURS)
    def put_together(self, pick, place, some, more, at):
        parts = [(self.lot(pick), Amount(some)), (self.lot(pick + 1), Amount(more))]
        self.offer(services.put_together, parts=parts, place=place, at=self.at(at))

    @precondition(lambda self: Move.objects.exists())
    @rule(pick=PICK)
    def correct_a_move(self, pick):
        move = self.one(Move.objects.of(self.here), pick)
        self.offer(services.correct, move=move, reason="Wrong.")

    @precondition(lambda self: Lot.objects.exists())
    @rule(pick=PICK)
    def settle(self, pick):
        self.offer(services.settle, lot=self.lot(pick), note="Recounted.")

    def moments(self):
        moves = Move.objects.of(self.here).values_list("at", flat=True)
        made = Lot.objects.of(self.here).values_list("made_at", flat=True)
        return sorted({*moves, *made})

    @invariant()
    def all_of_it_is_somewhere(self):
        """Count it here as the crop is counted by hand, not as the site does."""
        pulled = sum(Entry.objects.values_list("beets", flat=True))
        moves = list(Move.objects.of(self.here))
        short = {lot.pk: short_by(lot) for lot in Lot.objects.of(self.here)}
        for at in self.moments():
            there = balances(self.here, at)
            past = [move for move in moves if move.at <= at]
            opened, closed = entered(past, Place.BRAKE)
            in_beets = sum(beets for beets, _grams in there.values())
            broken = sum(m.beets for m in opened) - sum(m.beets for m in closed)
            assert in_beets + broken == pulled
            combed, put_back = entered(past, Place.SEED)
            weighed_in = sum(m.dry_g for m in opened + combed)
            weighed_in -= sum(m.dry_g for m in closed + put_back)
            assert sum(grams for _beets, grams in there.values()) == weighed_in
            for (lot, place), (beets, grams) in there.items():
                if place == Place.LOST:
                    continue
                allowed = short[lot] if place == Place.STOOK else 0
                assert beets >= -allowed
                assert grams >= 0


@pytest.mark.any_database
class CropTest(Crop.TestCase, TestCase):
    settings = settings(
        max_examples=12,
        stateful_step_count=25,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
