"""The land as a heading: true to its figures, light, and the same each time."""

import re

import pytest

from heritage.kits.charts.strip import HEIGHT, Hours, Strip, StripWords, strip_svg

pytestmark = pytest.mark.any_database
# House rules: what a drawing may weigh, and how much of a phone it may take.
MOST_BYTES, MOST_HIGH = 30_000, 140
HOURS = Hours(18, 22, 5.9, 20.9, 19, 18.75, 20.75, 21.4)


def drawn(least, most, stooks=0, hours=HOURS):
    words = StripWords("Half is pulled.", start="start 18:45", stop="stop 21:22")
    return strip_svg(Strip(least, most, stooks, hours, words))


def test_it_weighs_little_stands_low_and_says_itself_in_words():
    svg = drawn(0.05, 0.07, stooks=500)
    assert len(svg) < MOST_BYTES
    assert HEIGHT <= MOST_HIGH
    assert '<title id="land-told">Half is pulled.</title>' in svg
    assert "style=" not in svg


def test_what_stands_is_as_wide_as_its_share_and_frayed_only_where_it_is_guessed():
    known, guessed = drawn(0.34, 0.36), drawn(0.2, 0.5)
    assert '<rect class="land-flax" width="35.0%"' in known
    assert 'class="land-edge" x1="35.0%"' in known
    assert "url(#land-fray)" not in known
    assert '<rect class="land-flax" width="20.0%"' in guessed
    assert 'clip-path="url(#land-fray)" x="20.0%" width="30.0%"' in guessed
    assert "land-edge" not in guessed
    assert "land-flax" not in drawn(0, 0)


@pytest.mark.parametrize("stooks", [0, 1, 13, 60])
def test_each_stook_is_drawn_once(stooks):
    assert drawn(0.3, 0.3, stooks).count('href="#land-stook"') == stooks


def test_the_evening_is_thin_where_it_is_past_and_thick_where_it_is_left():
    """From 18:45 to 20:45, at 19:00: 1 h 45 min are left."""
    svg = drawn(0.3, 0.3)
    left = re.findall(r'class="land-left" x1="([\d.]+)%".*?x2="([\d.]+)%"', svg)
    assert float(left[0][0]) == pytest.approx(100 * (19 - 18) / 4, abs=0.1)
    assert float(left[-1][1]) == pytest.approx(100 * (20.75 - 18) / 4, abs=0.1)
    over = drawn(0.3, 0.3, hours=Hours(18, 23, 5.9, 20.9, 22, 18.75, 20.75, 21.4))
    assert ("land-left" in over, "land-past" in over) == (False, True)
    # After sunset there is no sun in the sky.
    assert ("land-sun" in svg, "land-sun" in over) == (True, False)
