"""Many at once: what was there goes once, and nothing is left below none."""

from collections import Counter
from datetime import timedelta

from django.core.exceptions import ValidationError

from heritage.lots import services
from heritage.lots.models import Move, Place
from heritage.lots.services import Amount
from tests.factories import NOW, make_gathering, make_organiser, make_pulled_lot
from tests.rush import RushCase

HANDS, BEETS = 8, 40
HOUR = timedelta(hours=1)


class MovesAtOnceTests(RushCase):
    def make(self):
        self.nora = make_organiser()
        evening = make_gathering(
            demonstration=self.nora.demonstration,
            starts_at=NOW - 3 * HOUR,
            ends_at=NOW - HOUR,
        )
        self.lot = make_pulled_lot(gathering=evening, beets=BEETS)
        self.refused = []

    def rush(self, beets, act):
        def one(number):
            try:
                act(number, Amount(beets=beets))
            except ValidationError as error:
                self.refused += error.messages

        self.together(one, HANDS)

    def move(self, number, amount):
        target = (Place.CART, Place.STORE)[number % 2]
        services.move(
            lot=self.lot, source=Place.STOOK, target=target, amount=amount, at=NOW,
            by=self.nora.user, now=NOW,
        )  # fmt: skip

    def part(self, _number, amount):
        services.part(
            lot=self.lot, place=Place.STOOK, amount=amount, at=NOW, note="",
            by=self.nora.user, now=NOW,
        )  # fmt: skip

    def moves(self):
        return self.rows_of(Move.objects.order_by("pk"))

    def test_all_of_a_lot_is_moved_once(self):
        self.rush(BEETS, self.move)
        assert [row.beets for row in self.moves()] == [BEETS]
        assert len(self.refused) == HANDS - 1
        assert all("has 0 beets" in words for words in self.refused)

    def test_as_many_as_there_are_and_no_more(self):
        """Three times 12 of 40: what is left is four."""
        self.rush(12, self.move)
        assert [row.beets for row in self.moves()] == [12, 12, 12]
        said = Counter("has 4 beets" in words for words in self.refused)
        assert said == {True: HANDS - 3}

    def test_a_lot_is_parted_by_what_is_there(self):
        self.rush(25, self.part)
        assert [row.beets for row in self.moves()] == [25]
