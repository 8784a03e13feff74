"""One window for pulling, from whatever is known, narrowing as more is seen."""

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.calc.crop import (
    CropSigns,
    DayHeat,
    PullAnchor,
    PullWarning,
    SeenShare,
    pull_window,
    turned_share,
    when_to_pull,
)

SOWN = date(2026, 4, 20)
FLOWER = SOWN + timedelta(days=66)
END = FLOWER + timedelta(days=12)
FIT = SOWN + timedelta(days=97)


def day(number, start=SOWN):
    return start + timedelta(days=number)


def warm(length, mean=14.0, start=SOWN):
    return [DayHeat(day(n, start), mean - 5, mean + 5) for n in range(length)]


def codes(estimate):
    return [warning.code for warning in estimate.warnings]


def length(estimate):
    return (estimate.last - estimate.first).days


def anchors(estimate):
    return {one.anchor: one for one in estimate.anchors}


def test_nothing_known_gives_no_window():
    assert when_to_pull(CropSigns()) is None
    assert when_to_pull(CropSigns(daily=warm(100))) is None


def test_sown_alone_gives_the_published_hundred_days():
    found = when_to_pull(CropSigns(sown_on=SOWN))
    assert [(d - SOWN).days for d in (found.first, found.best, found.last)] == [
        90,
        100,
        125,
    ]
    assert [(one.anchor, one.weight) for one in found.anchors] == [("sown", 1)]


@pytest.mark.parametrize("anchor", ["flower_start", "flower_full", "flower_end"])
def test_one_phase_of_flowering_alone_is_its_own_window(anchor):
    found = when_to_pull(CropSigns(**{anchor: FLOWER}))
    alone = pull_window(anchor=anchor, on=FLOWER)
    assert found.best == alone.best
    assert found.first <= alone.first
    assert alone.last <= found.last


def test_the_window_narrows_as_the_season_is_seen():
    """Each of these agrees with the others; all of them are a fair season."""
    season = [
        {"sown_on": SOWN},
        {"flower_start": FLOWER},
        {"flower_end": END},
        {"stems": SeenShare(day(90), 0.3)},
        {"stems": SeenShare(day(95), 0.45), "bolls": SeenShare(day(95), 0.24)},
    ]
    known, seen = CropSigns(), []
    for more in season:
        known = replace(known, **more)
        seen.append(when_to_pull(known))
    assert [length(one) for one in seen] == sorted(map(length, seen), reverse=True)
    assert length(seen[-1]) < length(seen[0]) / 3
    for one in seen:
        assert one.first <= FIT <= one.last
        assert one.disagreements == one.warnings == ()
        assert sum(part.weight for part in one.anchors) == pytest.approx(1)


def test_what_is_seen_late_counts_for_more_than_the_calendar():
    found = when_to_pull(
        CropSigns(sown_on=SOWN, flower_end=END, stems=SeenShare(day(95), 0.45))
    )
    weights = {one.anchor: one.weight for one in found.anchors}
    assert weights["sown"] < weights["stems"]
    assert weights["sown"] < weights["flower_end"]


@given(st.integers(0, 40))
def test_clocks_that_contradict_each_other_widen_the_window_and_say_so(shift):
    agree = when_to_pull(CropSigns(flower_end=END, stems=SeenShare(day(95), 0.5)))
    apart = when_to_pull(
        CropSigns(flower_end=END, stems=SeenShare(day(95 + shift), 0.5))
    )
    assert length(apart) >= length(agree)
    for one in apart.disagreements:
        assert (one.earlier, one.later) == ("flower_end", "stems")
    assert bool(apart.disagreements) == (shift > 10)


@given(
    st.dates(date(2000, 1, 1), date(2080, 1, 1)),
    st.integers(30, 110),
    st.integers(0, 20),
    st.floats(0, 1),
    st.floats(0, 1),
    st.floats(0, 1),
)
def test_whatever_is_seen_the_window_is_in_order_and_within_its_anchors(
    sown, to_flower, lasts, stems, leaves, bolls
):
    at = day(to_flower + lasts + 10, sown)
    found = when_to_pull(
        CropSigns(
            sown_on=sown,
            flower_start=day(to_flower, sown),
            flower_end=day(to_flower + lasts, sown),
            stems=SeenShare(at, stems),
            leaves=SeenShare(at, leaves),
            bolls=SeenShare(at, bolls),
        )
    )
    assert found.first < found.best < found.last
    best = [one.best for one in found.anchors]
    slack = timedelta(days=1)
    assert min(best) - slack <= found.best <= max(best) + slack
    assert sum(one.weight for one in found.anchors) == pytest.approx(1)
    for one in found.anchors:
        assert one.first < one.best < one.last


def test_warmth_speaks_once_a_quarter_of_it_is_gathered():
    """14 °C gives 9 °C d a day: 850 on day 95, and 212 on day 24."""
    young = when_to_pull(CropSigns(sown_on=SOWN, daily=warm(20)))
    assert PullAnchor.SOWN_HEAT not in anchors(young)
    held = when_to_pull(CropSigns(sown_on=SOWN, daily=warm(60)))
    whole = when_to_pull(CropSigns(sown_on=SOWN, daily=warm(120)))
    for found in (held, whole):
        assert anchors(found)[PullAnchor.SOWN_HEAT].best == day(94)
    assert [warning.figures for warning in held.warnings] == [{"days": 35}]
    assert codes(held) == [PullWarning.WARMTH_HELD]
    assert codes(whole) == []
    one, other = (anchors(found)[PullAnchor.SOWN_HEAT] for found in (held, whole))
    assert (one.last - one.first) > (other.last - other.first)


def test_a_warmer_season_is_ready_sooner():
    cool, hot = (
        when_to_pull(CropSigns(sown_on=SOWN, daily=warm(120, mean)))
        for mean in (13, 16)
    )
    assert hot.best < cool.best


def test_warmth_since_the_first_flower_speaks_too():
    found = when_to_pull(CropSigns(flower_start=FLOWER, daily=warm(140)))
    assert anchors(found)[PullAnchor.FLOWER_HEAT].best == FLOWER + timedelta(days=39)


def test_a_flower_seen_today_waits_for_tomorrows_warmth():
    found = when_to_pull(CropSigns(flower_start=FLOWER, daily=warm(67)))
    assert list(anchors(found)) == [PullAnchor.FLOWER_START]
    assert codes(found) == []


def test_a_short_gap_in_the_temperatures_is_bridged():
    daily = warm(120)
    del daily[30:33]
    found = when_to_pull(CropSigns(sown_on=SOWN, daily=daily))
    assert anchors(found)[PullAnchor.SOWN_HEAT].best == day(94)


def test_temperatures_may_begin_three_days_after_the_sowing():
    found = when_to_pull(CropSigns(sown_on=SOWN, daily=warm(120)[3:]))
    assert anchors(found)[PullAnchor.SOWN_HEAT].best == day(94)


@pytest.mark.parametrize("missing", [slice(0, 4), slice(30, 34)])
def test_a_long_gap_silences_the_warmth_and_is_said(missing):
    daily = warm(120)
    del daily[missing]
    found = when_to_pull(CropSigns(sown_on=SOWN, daily=daily))
    assert PullAnchor.SOWN_HEAT not in anchors(found)
    assert codes(found) == [PullWarning.WARMTH_BROKEN]


def test_frost_at_the_end_holds_the_pace_of_the_whole_time():
    daily = warm(60) + warm(14, 0, day(60))
    found = when_to_pull(CropSigns(sown_on=SOWN, daily=daily))
    assert anchors(found)[PullAnchor.SOWN_HEAT].best > day(110)


def test_flowers_out_of_order_are_said():
    found = when_to_pull(CropSigns(flower_start=END, flower_end=FLOWER))
    assert codes(found) == [PullWarning.FLOWERS_OUT_OF_ORDER]


@pytest.mark.parametrize(("days", "odd"), [(39, True), (40, False), (111, True)])
def test_a_flower_that_no_print_knows_of_is_said(days, odd):
    found = when_to_pull(CropSigns(sown_on=SOWN, flower_full=day(days)))
    assert codes(found) == [PullWarning.ODD_FLOWERING] * odd


def test_green_stems_past_the_window_hold_it_back():
    by_flower = when_to_pull(CropSigns(flower_end=END))
    looked = SeenShare(by_flower.last, 0)
    found = when_to_pull(CropSigns(flower_end=END, stems=looked))
    assert found.best > by_flower.best
    assert codes(found) == [PullWarning.STILL_GREEN]
    assert found.disagreements


def test_green_stems_long_before_the_window_say_nothing():
    for signs in (CropSigns(flower_end=END), CropSigns(sown_on=SOWN)):
        seen = replace(signs, stems=SeenShare(SOWN, 0), bolls=SeenShare(SOWN, 0))
        assert when_to_pull(seen) == when_to_pull(signs)
    assert when_to_pull(CropSigns(stems=SeenShare(SOWN, 0))) is None


def test_a_yellow_field_before_its_time_brings_the_window_forward():
    by_flower = when_to_pull(CropSigns(flower_end=END))
    early = SeenShare(END, 1)
    assert when_to_pull(CropSigns(flower_end=END, stems=early)).best < by_flower.best
    late = SeenShare(day(200), 1)
    assert when_to_pull(CropSigns(flower_end=END, leaves=late)) == by_flower


def test_brown_bolls_say_that_the_seed_is_ripe():
    found = when_to_pull(CropSigns(bolls=SeenShare(FIT, 0.75)))
    assert codes(found) == [PullWarning.SEED_RIPE]
    assert found.best == FIT - timedelta(days=14)


def test_bolls_turn_from_green_by_yellow_to_brown():
    assert turned_share(20, 0, 0) == 0
    assert turned_share(10, 10, 0) == 0.25
    assert turned_share(0, 0, 5) == 1


@pytest.mark.parametrize(
    ("bolls", "words"), [((0, 0, 0), "there must be a boll"), ((-1, 2, 2), "green")]
)
def test_bolls_that_cannot_be_are_refused(bolls, words):
    with pytest.raises(ValueError, match=words):
        turned_share(*bolls)


def test_a_share_lies_from_nought_to_one():
    with pytest.raises(ValueError, match="share must lie from 0 to 1"):
        SeenShare(SOWN, 1.1)
