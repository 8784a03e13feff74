"""Drawings of the dam and its ret."""

from collections.abc import Sequence
from datetime import datetime, timedelta

from heritage.dam.models import Dam, Reading
from heritage.dam.selectors import RetPage
from heritage.kits.charts import dam as charts
from heritage.kits.charts import forecasts as charts_forecasts
from heritage.kits.drawing.marks import Drawing

ONE_DAY = timedelta(days=1)
MOST_POINTS = 300


def section(dam: Dam, water_depth: float | None = None) -> Drawing:
    """Draw a dam cut through along its length; full, if no depth is given."""
    return charts.dam_section(
        top_length=float(dam.top_length_m),
        bottom_length=float(dam.bottom_length_m),
        depth=float(dam.depth_m),
        water_depth=float(dam.depth_m) if water_depth is None else water_depth,
    )


def course(page: RetPage) -> Drawing | None:
    """Draw a ret's course, or nothing where no day can be told."""
    state, curve = page.state, page.curve
    if not (curve and state.early and state.late and state.first_test):
        return None
    began = state.ret.began_at
    until = state.ret.lifted_at or page.asked_at
    return charts_forecasts.ret_curve(
        days=[_days(began, time) for time in curve.times],
        progress=curve.progress.tolist(),
        low=curve.slow.tolist(),
        high=curve.fast.tolist(),
        first_test=_days(began, state.first_test),
        window=(_days(began, state.early), _days(began, state.late)),
        readings=_thinned(began, page.readings),
        today=min(_days(began, until), _days(began, curve.times[-1])),
        test_every_hours=None if state.ret.lifted_at else state.hours_between_tests,
    )


def _days(began: datetime, moment: datetime) -> float:
    return (moment - began) / ONE_DAY


def _thinned(began: datetime, readings: Sequence[Reading]) -> list[tuple[float, float]]:
    """Return the readings as points, at most a few hundred of them."""
    step = max(1, len(readings) // MOST_POINTS)
    return [(_days(began, r.at), float(r.temp_c)) for r in readings[::step]]
