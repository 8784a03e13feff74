"""What the database itself refuses of what is after the dam."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.fibre.models import Done, DryBy, Work
from heritage.lots.models import Place
from tests.factories import (
    NOW,
    make_dry_test,
    make_grass_entry,
    make_grass_weather,
    make_session,
    make_session_move,
    make_spread_lot,
    make_spreading,
    make_store_check,
)

LATER = NOW + timedelta(hours=1)


class RuleTests(TestCase):
    def refused(self, make, /, **fields):
        with pytest.raises(IntegrityError), transaction.atomic():
            make(**fields)

    def test_what_has_not_been_is_not_written_down(self):
        self.refused(make_spreading, spread_at=LATER)
        self.refused(make_grass_entry, at=LATER)
        self.refused(make_dry_test, at=LATER)
        self.refused(make_store_check, at=LATER)
        self.refused(make_session, ended_at=LATER)

    def test_what_is_chosen_is_known(self):
        self.refused(make_spreading, way="tank")
        self.refused(make_grass_entry, what="eaten")
        self.refused(make_grass_weather, wet="snow")
        self.refused(make_store_check, air="none")
        self.refused(make_store_check, smell="nice")
        self.refused(make_session, work="carding")

    def test_a_test_of_dryness_found_something(self):
        self.refused(make_dry_test, way=DryBy.HAND)
        self.refused(make_dry_test, way=DryBy.OVEN, moisture_permille=None)
        self.refused(make_dry_test, way=DryBy.METER, is_dry=True)

    def test_a_day_and_a_lot_are_there_once(self):
        row = make_grass_weather()
        self.refused(make_grass_weather, demonstration=row.demonstration)
        lot = make_spread_lot()
        self.refused(make_spread_lot, spreading=lot.spreading, lot=lot.lot)
        self.refused(make_spread_lot, beets=0, spreading=lot.spreading)

    def test_a_session_has_a_length_and_worked_something(self):
        self.refused(make_session, began_at=NOW, ended_at=NOW)
        self.refused(make_session, in_dry_g=0)

    def test_a_rule_says_why(self):
        test = make_dry_test()
        test.moisture_permille = None
        with pytest.raises(ValidationError, match="how dry you found it"):
            test.full_clean()

    def test_each_row_has_a_name(self):
        lot, move = make_spread_lot(), make_session_move()
        assert str(lot) == f"{lot.spreading_id}: {lot.lot_id}"
        assert str(make_grass_entry()).endswith(": turned")
        assert str(make_grass_weather()) == "2026-08-12: dew"
        assert str(make_dry_test()).endswith(": meter")
        assert str(make_store_check()).endswith("2026-08-12 17:40")
        assert str(move.session).startswith("breaking, 2026-08-12")
        assert str(move) == f"{move.session_id}: {move.move_id}"

    def test_each_work_knows_its_place_and_a_test_from_a_turn(self):
        places = [(work.place, work.onward) for work in Work]
        assert places[0][1] == places[1][0] == Place.SCUTCH
        assert places[-1] == (Place.HACKLE, Place.LINE)
        assert Done.NOT_YET.is_test
        assert not Done.GAITED.is_test
