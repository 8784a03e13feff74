"""Every sheet of the safety room says how hard it is to read."""

import re
from io import BytesIO

import pytest
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.briefings import sheets as briefings
from heritage.briefings.emergency import sheets as emergency
from heritage.briefings.hazards import sheets as hazards
from heritage.briefings.models import EmergencyPlan
from heritage.grounds import sheets as grounds
from heritage.grounds.models import StewardPost
from heritage.incidents import sheets as incidents
from heritage.incidents.children import sheets as children
from heritage.incidents.models import Incident, Witness
from heritage.machines import sheets as machines
from heritage.machines.lifting import sheets as lifting
from tests.people.world import make_world
from tests.responses import finish

pytestmark = pytest.mark.any_database

PRINTED = (
    briefings,
    emergency,
    hazards,
    grounds,
    incidents,
    children,
    machines,
    lifting,
)
SUBJECT = {
    "machine_sheet": "machines",
    "stones_sheet": "machines",
    "steward_sheet": "grounds",
    "child_sheet": "incidents",
    "incident_sheet": "incidents",
    "register": "incidents",
}
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


# What somebody fills in; in a briefing the words are the sheet itself.
FILLED_IN = (
    "emergency_sheet",
    "steward_sheet",
    "child_sheet",
    "incident_sheet",
    "register",
)
HARD = (
    "Notwithstanding considerable precautionary instructions, the aforementioned "
    "individual inadvertently precipitated an uncontrollable mechanical disintegration"
)


def grade_in(text):
    return re.search(r"Reading grade -?[\d.]+; sentences average \d+ words", text)[0]


class GradedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.world = make_world()

    def words(self, name, row, **query):
        keys = [self.world.rows[row].pk] if row else []
        path = reverse(
            f"{SUBJECT.get(name, 'briefings')}:{name}",
            args=[self.world.demonstration.slug, *keys],
        )
        answer = self.client.get(path, query)
        assert answer.status_code == 200, name
        content = answer.content
        finish(answer)
        pages = PdfReader(BytesIO(content)).pages
        return " ".join("\n".join(page.extract_text() for page in pages).split())

    def test_none_is_left_out(self):
        """Every sheet of the room stands above, by the name it prints under."""
        printed = {
            name
            for module in PRINTED
            for name, made in vars(module).items()
            if name.endswith("_sheet") and made.__module__ == module.__name__
        }
        assert {*SHEETS, "register_sheet"} - {"register"} == printed

    def test_in_both_sizes(self):
        self.client.force_login(self.world.users["organiser"])
        for name, row in SHEETS.items():
            for query in ({}, {"large": "1"}):
                with self.subTest(sheet=name, **query):
                    assert "Reading grade" in self.words(name, row, **query)

    def test_what_others_typed_is_left_out_and_the_sheet_says_so(self):
        """Words that whoever was there typed in haste change no grade."""
        self.client.force_login(self.world.users["organiser"])
        before = {name: self.words(name, SHEETS[name]) for name in FILLED_IN}
        self.type_hard_words_everywhere()
        for name in FILLED_IN:
            with self.subTest(sheet=name):
                after = self.words(name, SHEETS[name])
                assert "Graded: our fixed words alone." in after
                assert "Notwithstanding" in after
                assert grade_in(after) == grade_in(before[name])

    def type_hard_words_everywhere(self):
        here = self.world.demonstration
        Incident.objects.of(here).update(account=HARD, not_told_why=HARD[:300])
        Witness.objects.of(here).update(says=HARD)
        EmergencyPlan.objects.of(here).update(
            lost_child=HARD[:300], way_in=HARD, fire=HARD, water_rescue=HARD
        )
        StewardPost.objects.of(here).update(task=HARD)

    def test_where_the_organisers_words_are_the_sheet_they_are_graded(self):
        self.client.force_login(self.world.users["organiser"])
        for name in sorted({*SHEETS} - {*FILLED_IN}):
            with self.subTest(sheet=name):
                text = self.words(name, SHEETS[name])
                assert "Reading grade" in text
                assert "fixed words alone" not in text
