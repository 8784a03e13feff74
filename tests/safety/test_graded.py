"""Every sheet of the safety room says how hard it is to read."""

from io import BytesIO

from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.safety import sheets
from tests.people.world import make_world
from tests.responses import finish

SHEETS = {
    "risk_sheet": None,
    "emergency_sheet": None,
    "machine_sheet": "machine",
    "stones_sheet": None,
    "steward_sheet": None,
    "child_sheet": None,
    "briefing_sheet": "briefing",
    "incident_sheet": "incident",
    "register": None,
}


class GradedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.world = make_world()

    def words(self, name, row, **query):
        keys = [self.world.rows[row].pk] if row else []
        path = reverse(f"safety:{name}", args=[self.world.demonstration.slug, *keys])
        answer = self.client.get(path, query)
        assert answer.status_code == 200, name
        content = answer.content
        finish(answer)
        pages = PdfReader(BytesIO(content)).pages
        return " ".join("\n".join(page.extract_text() for page in pages).split())

    def test_none_is_left_out(self):
        """Every sheet of the room stands above, by the name it prints under."""
        printed = {name for name in sheets.__all__ if name.endswith("_sheet")}
        assert {*SHEETS, "register_sheet"} - {"register"} == printed

    def test_in_both_sizes(self):
        self.client.force_login(self.world.users["organiser"])
        for name, row in SHEETS.items():
            for query in ({}, {"large": "1"}):
                with self.subTest(sheet=name, **query):
                    assert "Reading grade" in self.words(name, row, **query)
