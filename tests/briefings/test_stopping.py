"""The stop rules stand on every sheet that goes out of doors."""

from io import BytesIO

from django.test import SimpleTestCase
from pypdf import PdfReader

from heritage.briefings import selectors, sheets
from heritage.common import sheets as paper


class StoppingTests(SimpleTestCase):
    def test_the_rules_say_who_calls_thunder_light_and_everybody_out(self):
        said = " ".join(selectors.stop_rules())
        for words in (
            "Anybody may call stop",
            "within 30 seconds",
            "30 minutes after the last thunder",
            "by sunset",
            "stay there to be counted",
        ):
            assert words in said

    def test_as_a_part_or_as_a_panel_they_say_the_same(self):
        for blocks in (sheets.stop_blocks(), [sheets.stop_caution()]):
            pdf = paper.sheet(title="Sheet", blocks=blocks)
            pages = PdfReader(BytesIO(pdf)).pages
            text = " ".join(" ".join(one.extract_text() for one in pages).split())
            for rule in selectors.stop_rules():
                assert rule in text
