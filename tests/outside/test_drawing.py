"""Contrast against published figures, and the drawings in other hands."""

from io import BytesIO

import pytest
from pypdf import PdfReader

from heritage.kits.charts import counts as charts
from heritage.kits.drawing.tones import TONES
from heritage.tally.drawings import evenings_words
from tests.kits.contrast import contrast
from tests.kits.sheets import painted


@pytest.mark.parametrize(
    ("one", "other", "ratio"),
    [
        # WCAG 2.2's own end points: black on white is 21:1, a colour on itself 1:1.
        ("#000000", "#ffffff", 21.0),
        ("#ffffff", "#ffffff", 1.0),
        # The two greys on either side of 4.5:1, known from many contrast checkers
        # (from memory).
        ("#767676", "#ffffff", 4.54),
        ("#777777", "#ffffff", 4.48),
        # ISO 3864-4's yellow on white: never a colour for words.
        ("#f9a900", "#ffffff", 1.96),
    ],
)
def test_contrast_agrees_with_known_figures(one, other, ratio):
    assert contrast(one, other) == pytest.approx(ratio, abs=0.005)
    assert contrast(other, one) == contrast(one, other)


@pytest.mark.parametrize(
    ("role", "ground", "least"),
    [
        # Contrasts of the RAL colours of ISO 3864-4 as measured on screen.
        ("sign-red", "sign-white", 7.9),
        ("sign-blue", "sign-white", 8.1),
        ("sign-yellow", "sign-black", 7.2),
        ("sign-green", "sign-white", 5.0),
    ],
)
def test_safety_colours_contrast_with_their_symbols(role, ground, least):
    measured = contrast(TONES[role].colour, TONES[ground].colour)
    assert measured == pytest.approx(least, abs=0.06)


def test_another_reader_finds_a_charts_words():
    chart = charts.bars([("Tue 14 Jul", 312)], words=evenings_words())
    text = PdfReader(BytesIO(painted(chart))).pages[0].extract_text()
    assert "Tue 14 Jul" in text
    assert "312" in text
