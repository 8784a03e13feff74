"""Ready drawings: figures in words, labels inside the edges, units on the axes."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from heritage.dam.drawings import dam_words, ret_words
from heritage.fibre.drawings import account_words
from heritage.gatherings.drawings import light_words
from heritage.kits.charts import counts as charts_counts
from heritage.kits.charts import dam as charts_dam
from heritage.kits.charts import evening as charts_evening
from heritage.kits.charts import fibre as charts_fibre
from heritage.kits.charts import forecasts as charts
from heritage.kits.charts import season as charts_season
from heritage.kits.charts.axes import LETTER, between, clock, number, ticks
from heritage.kits.drawing.marks import Curve, Line, Text
from heritage.kits.drawing.svg import to_svg
from heritage.season.drawings import season_words
from heritage.tally.drawings import chance_words, evenings_words
from tests.kits.sheets import painted

DAY = date(2026, 7, 20)
DAYS = [float(day) for day in range(13)]
PROGRESS = [day / 10 for day in DAYS]


def make_ret_curve(**overrides):
    tests = {"first": 7.0, "window": (8.0, 12.5), "every_hours": 12.0, "made": ()}
    course = {
        "began": datetime(2026, 8, 10, 18, tzinfo=UTC),
        "days": DAYS,
        "likely": PROGRESS,
        "low": [0.8 * p for p in PROGRESS],
        "high": [1.3 * p for p in PROGRESS],
    }
    drawn = {"readings": [(0.5, 16.0), (2, 17.5)], "today": 4.0}
    for part in (tests, course, drawn):
        part |= {name: value for name, value in overrides.items() if name in part}
    return charts.ret_curve(
        charts.RetCourse(**course), charts.RetTests(**tests), ret_words(), **drawn
    )


def make_light_window(**overrides):
    moments = {"starts": 18.5, "ends": 21.0, "sunset": 21.3, "dusk": 22.0}
    moments = moments | {"stop": 20.95} | overrides
    return charts_evening.light_window(
        charts_evening.EveningHours(**moments), light_words()
    )


def make_bars(*rows):
    return charts_counts.bars(rows, words=evenings_words())


def make_chances(*rows):
    return charts.chance_by_day(rows, words=chance_words())


def make_dam(**measures):
    return charts_dam.dam_section(**measures, words=dam_words())


def make_season(stages, **today):
    return charts_season.season_strip(stages, words=season_words(), **today)


def make_account(*rows):
    return charts_fibre.fibre_account(rows, account_words())


STAGES = [
    charts_season.StageBar("Sowing", planned=(DAY, DAY), done=(DAY, DAY)),
    charts_season.StageBar(
        "Filling the dam",
        forecast=(DAY, DAY + timedelta(9)),
        likely=DAY + timedelta(5),
    ),
    charts_season.StageBar("Hackling"),
]
ALL = {
    "light": make_light_window(),
    "bright night": make_light_window(sunset=None, dusk=None, stop=None),
    "white night": make_light_window(sunset=22.9, dusk=None),
    "after midnight": make_light_window(sunset=23.9, dusk=25.5),
    "bars": make_bars(("Tue 14 Jul", 84), ("Thu 16 Jul", 132.5)),
    "long bars": make_bars(("Bríd Nic Giolla Chomhaill-Żółkiewska", 84)),
    "no bars": make_bars(),
    "ret": make_ret_curve(),
    "new ret": make_ret_curve(readings=(), today=None, every_hours=None),
    "chance": make_chances(*((DAY + timedelta(k), k / 20) for k in range(21))),
    "dam": make_dam(top_length=15.2, bottom_length=12.2, depth=1.22, water_depth=0.95),
    "dry dam": make_dam(top_length=15, bottom_length=15, depth=1.2, water_depth=0),
    "account": make_account(
        charts_fibre.FibreRow("Retted straw", 7_660, 11_730, 19_920, 1_500, 10_040),
        charts_fibre.FibreRow("Hackled line", 0.345, 0.586, 1.06, 0.085, 0),
        charts_fibre.FibreRow("Scutched fibre", 0, 0, 0, 0, 0),
    ),
    "season": make_season(STAGES, today=DAY),
    "late season": make_season(STAGES, today=DAY + timedelta(60)),
}


def words(drawing) -> list[str]:
    return [mark.text for mark in drawing.marks if isinstance(mark, Text)]


@pytest.mark.parametrize("drawing", ALL.values(), ids=ALL)
def test_words_stay_on_the_drawing_and_stand_twelve_high(drawing):
    """At 360 pixels wide nothing is cut off and nothing is small."""
    for mark in drawing.marks:
        if isinstance(mark, Text):
            wide = LETTER * len(mark.text) * mark.size / 12
            left = mark.x - {"start": 0, "middle": wide / 2, "end": wide}[mark.anchor]
            assert left >= -2, mark.text
            assert left + wide <= 360 + 2, mark.text
            assert 10 <= mark.y <= drawing.height - 2, mark.text
            assert mark.size >= 12


@pytest.mark.parametrize("drawing", ALL.values(), ids=ALL)
def test_every_chart_speaks_for_itself(drawing):
    assert drawing.width == 360
    assert drawing.title
    assert drawing.description.endswith(".")


@pytest.mark.parametrize("drawing", ALL.values(), ids=ALL)
def test_every_chart_goes_both_ways(drawing):
    assert to_svg(drawing, prefix="a").startswith("<svg")
    assert b"NaN" not in painted(drawing)


def test_the_account_tells_what_was_expected_weighed_and_may_come():
    row = charts_fibre.FibreRow("Line", 34.5, 58.6, 106, 7.3, 53.7)
    expected = f"Line: expected {between(34.5, 106.0)}, likely 58.6"
    said = f"{expected}, weighed 7.3, to come 53.7."
    assert make_account(row).description == said
    before = charts_fibre.FibreRow("Line", 34.5, 58.6, 106, 0, 53.7)
    assert make_account(before).description == f"{expected}."


def test_the_evening_tells_its_times():
    assert make_light_window().description == (
        "Planned from 18:30 to 21:00. Stop at 20:57. Sunset at 21:18. Dusk at 22:00."
    )
    assert "hour of the day, local time" in words(make_light_window())


def test_the_evening_tells_when_the_sun_does_not_set():
    assert "does not set" in ALL["bright night"].description
    assert "not grow fully dark" in ALL["white night"].description


def test_dusk_after_midnight_lies_to_the_right_of_it():
    assert "Dusk 01:30" in words(ALL["after midnight"])


def test_clock_hours_run_past_midnight():
    zone = ZoneInfo("Europe/London")
    dusk = datetime(2026, 7, 20, 23, 30, tzinfo=UTC).astimezone(zone)
    assert charts_evening.clock_hours(dusk, DAY) == 24.5


def test_the_tally_tells_each_figure():
    assert ALL["bars"].description == "Beets. Tue 14 Jul: 84; Thu 16 Jul: 132.5."
    assert ALL["no bars"].description == "Nothing is tallied yet."


def test_the_ret_tells_when_to_test_and_never_when_to_lift():
    told = make_ret_curve().description
    assert "By 14 Aug progress is about 40%, between 32% and 52%." in told
    assert "First test on 17 Aug" in told
    assert "between 18 Aug and 23 Aug" in told
    assert "Only a test of the stems tells when to lift." in told
    assert not any("lift" in word.lower() for word in words(make_ret_curve()))


def test_the_forecast_is_dashed_where_the_past_is_not():
    lines = [m for m in make_ret_curve().marks if getattr(m, "role", "") == "crop"]
    # Twice: in the chart, and in its legend.
    assert [line.dash for line in lines] == [False, True] * 2
    assert lines[0].points[-1] == lines[1].points[0]


def test_a_ret_with_uneven_rows_is_refused():
    with pytest.raises(ValueError, match="same length"):
        make_ret_curve(low=[0.1])
    with pytest.raises(ValueError, match="two days"):
        make_ret_curve(days=[0], likely=[0], low=[0], high=[0])


def test_the_chance_tells_its_even_day():
    assert (
        "An even chance by 30 Jul. Nine in ten by 7 Aug." in ALL["chance"].description
    )
    slow = make_chances((DAY, 0.1))
    assert "not reached" in slow.description
    with pytest.raises(ValueError, match="at least one day"):
        make_chances()


def test_the_dam_tells_its_depths():
    assert "water 0.95 m deep, 78% of the depth" in ALL["dam"].description
    assert "Heights are drawn larger than lengths." in words(ALL["dam"])
    assert not [m for m in ALL["dry dam"].marks if isinstance(m, Curve)]


@pytest.mark.parametrize("wrong", [{"water_depth": 1.3}, {"bottom_length": 16}])
def test_water_must_fit_the_dam(wrong):
    right = {"top_length": 15, "bottom_length": 12, "depth": 1.2, "water_depth": 1}
    with pytest.raises(ValueError, match="must fit"):
        make_dam(**(right | wrong))


def test_the_season_tells_every_stage():
    told = ALL["season"].description
    assert "Sowing: done 20 Jul, planned 20 Jul." in told
    assert (
        "Filling the dam: forecast 20 Jul\N{EN DASH}29 Jul, likeliest 25 Jul." in told
    )
    assert "Hackling: no date yet." in told
    with pytest.raises(ValueError, match="at least one date"):
        make_season([])


def test_a_day_today_line_crosses_every_stage():
    (line,) = [
        m for m in ALL["season"].marks if isinstance(m, Line) and m.role == "action"
    ]
    assert line.y2 - line.y1 > 27 * len(STAGES)


@given(st.floats(0.01, 1e6), st.integers(3, 8))
def test_ticks_are_round_rising_and_inside(high, about):
    values = ticks(high, about=about)
    assert values == sorted(set(values))
    assert values[0] >= 0
    assert values[-1] <= high * (1 + 1e-9)
    assert 2 <= len(values) <= about + 1


def test_numbers_are_written_as_people_write_them():
    assert [
        number(1234.0),
        number(0.5),
        between(3, 3),
        clock(24.5),
        clock(23.9999),
    ] == [
        "1,234",
        "0.5",
        "3",
        "00:30",
        "00:00",
    ]


def test_light_that_fails_before_the_start_still_shows():
    drawing = make_light_window(starts=21.5, ends=23, stop=20.0, sunset=20.4, dusk=21)
    assert "Stop 20:00" in words(drawing)
    assert min(m.x1 for m in drawing.marks if isinstance(m, Line)) >= 0


def test_today_between_two_days_does_not_break_the_line():
    lines = [
        m for m in make_ret_curve(today=4.5).marks if getattr(m, "role", "") == "crop"
    ]
    assert lines[0].points[-1] == lines[1].points[0]


def test_a_test_window_that_is_over_is_not_shaded():
    shaded = [
        m
        for m in make_ret_curve(window=(0.0, 0.0)).marks
        if getattr(m, "role", "") == "light"
    ]
    assert len(shaded) == 1  # the legend's
