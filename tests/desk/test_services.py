"""Setting a demonstration up, whole or not at all."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import TestCase

from heritage.desk import services
from heritage.season.models import Demonstration
from tests.factories import NOW, make_user

DEMONSTRATION = {
    "name": "Flax at Lintholm",
    "year": 2026,
    "place_name": "Lintholm",
    "latitude": Decimal("54.6"),
    "longitude": Decimal("-6.4"),
    "jurisdiction": "ni",
}
PLOT = {
    "name": "A",
    "area": Decimal(1),
    "measure": "rood",
    "sown_on": date(2026, 4, 18),
}
DAM = {
    "name": "The dam",
    "top_length_m": Decimal(6),
    "top_width_m": Decimal(3),
    "bottom_length_m": Decimal(5),
    "bottom_width_m": Decimal(2),
    "depth_m": Decimal("1.2"),
    "inflow_lps": None,
    "stone_density": 2650,
    "stone_kg": Decimal(12),
}


class SetUpTests(TestCase):
    def set_up(self, **parts):
        self.founder = make_user(name="Nora Bell")
        parts = {"demonstration": DEMONSTRATION, "plot": PLOT, "dam": DAM} | parts
        return services.set_up(founder=self.founder, now=NOW, **parts)

    def test_everything_is_there_to_begin_with(self):
        made = self.set_up()
        assert (made.plots.count(), made.dams.count()) == (1, 1)
        assert made.volunteers.get().user == self.founder
        assert made.volunteers.get().is_organiser
        assert made.hazards.count() >= 10
        assert made.briefings.filter(versions__isnull=False).exists()

    def test_a_part_refused_leaves_nothing_behind(self):
        with pytest.raises(services.PartError) as refusal:
            self.set_up(dam=DAM | {"depth_m": Decimal(0)})
        assert refusal.value.part == "dam"
        assert "depth_m" in refusal.value.error.message_dict
        assert not Demonstration.objects.exists()
