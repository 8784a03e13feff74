"""Drawings of the dam and its ret."""

from collections.abc import Sequence
from datetime import date, datetime, timedelta

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.dam.learning.selectors import zone_of
from heritage.dam.models import Dam, Reading
from heritage.dam.selectors import RetPage
from heritage.kits.charts.dam import DamWords, dam_section
from heritage.kits.charts.forecasts import RetCourse, RetTests, RetWords, ret_curve
from heritage.kits.drawing.marks import Drawing

ONE_DAY = timedelta(days=1)
MOST_POINTS = 300


def section(dam: Dam, water_depth: float | None = None) -> Drawing:
    """Draw a dam cut through along its length; full, if no depth is given."""
    return dam_section(
        top_length=float(dam.top_length_m),
        bottom_length=float(dam.bottom_length_m),
        depth=float(dam.depth_m),
        water_depth=float(dam.depth_m) if water_depth is None else water_depth,
        words=dam_words(),
    )


def dam_words() -> DamWords:
    """Return what a dam's section says."""
    return DamWords(
        title=_("The dam, cut through along its length"),
        brim=_("brim {length}"),
        floor=_("floor {length}"),
        deep=_("deep {depth}"),
        water=_("water"),
        larger=_("Heights are drawn larger than lengths."),
        told=_(
            "Brim {brim}, floor {floor}, depth {depth}; water {water} deep, {percent}% "
            "of the depth."
        ),
    )


def course(page: RetPage) -> Drawing | None:
    """Draw a ret's course, or nothing where no day can be told."""
    state, curve = page.state, page.curve
    if not (curve and state.early and state.late and state.first_test):
        return None
    began = state.ret.began_at
    until = state.ret.lifted_at or page.asked_at
    return ret_curve(
        RetCourse(
            began=zone_of(state.ret, began),
            days=[_days(began, time) for time in curve.times],
            likely=curve.progress.tolist(),
            low=curve.slow.tolist(),
            high=curve.fast.tolist(),
            date_said=_date_said,
        ),
        RetTests(
            first=_days(began, state.first_test),
            window=(_days(began, state.early), _days(began, state.late)),
            every_hours=None if state.ret.lifted_at else state.hours_between_tests,
            made=[_days(began, look.first.at) for look in page.looks],
        ),
        ret_words(),
        readings=_thinned(began, page.readings),
        today=min(_days(began, until), _days(began, curve.times[-1])),
    )


def ret_words() -> RetWords:
    """Return what a ret's course says."""
    return RetWords(
        title=_("The ret so far"),
        first_test=_("First test: {day}"),
        today=_("Today"),
        no_readings=_("No readings yet"),
        water=_("Water, °C"),
        axis=_("date"),
        range=_("eight in ten"),
        may_be_done=_("tests may find it ready"),
        so_far=_("likely so far"),
        expected=_("expected"),
        read=_("water read"),
        tested=_("a test"),
        told_progress=_(
            "By {day} progress is about {likely}, between {low} and {high}."
        ),
        told_tests=_(
            "First test on {first}; tests may find it ready between {early} and {late}."
        ),
        told_every=_("Then test every {hours} hours."),
        told_lift=_("Only a test of the stems tells when to lift."),
    )


def _date_said(day: date) -> str:
    return date_format(day, "j M")


def _days(began: datetime, moment: datetime) -> float:
    return (moment - began) / ONE_DAY


def _thinned(began: datetime, readings: Sequence[Reading]) -> list[tuple[float, float]]:
    """Return the readings as points, at most a few hundred of them."""
    step = max(1, len(readings) // MOST_POINTS)
    return [(_days(began, r.at), float(r.temp_c)) for r in readings[::step]]
