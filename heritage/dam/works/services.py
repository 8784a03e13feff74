"""What was done to a dam before and after a filling, and who was asked.

Nothing here says that water may be taken or let go: it keeps what was asked and what
was answered, in the words of the answer.
"""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in, lock
from heritage.dam.models import DamWork, FlowTest, LeakTest, WaterAsked
from heritage.dam.works.selectors import flowed


@transaction.atomic
def keep_work(*, work: DamWork, values: Mapping[str, Any], today: date) -> DamWork:
    """Write down a repair, a lining, a clearing out, or how the water looked.

    Raises
    ------
    ValidationError
        If the day has not come yet, or nothing is said.
    """
    lock(work.dam)
    _refuse_future("day", values["day"], today)
    return fill_in(work, values)


@transaction.atomic
def keep_leak(
    *, test: LeakTest, values: Mapping[str, Any], now: datetime, sure: bool = False
) -> LeakTest:
    """Keep a leak test: two levels and when they were read.

    Raises
    ------
    ValidationError
        If a moment has not come yet, they are out of order, a level stands above the
        rim; and under ``sure``, a question, if the level rose by more than it rained.
    """
    lock(test.dam)
    if values["second_at"] > now:
        raise ValidationError(
            {"second_at": _("That time is in the future. Enter an earlier one.")}
        )
    if values["second_at"] <= values["first_at"]:
        words = _("The second level is read after the first: check both times.")
        raise ValidationError({"second_at": words})
    for name in ("first_depth_m", "second_depth_m"):
        _refuse_above_rim(test, name, values[name])
    if not sure:
        _ask_about_rise(values)
    return fill_in(test, values)


def _refuse_above_rim(test: LeakTest, name: str, depth: Any) -> None:
    if depth > test.dam.depth_m:
        words = _("The dam is %(depth)s m deep: water can't stand above its rim.")
        raise ValidationError({name: words % {"depth": test.dam.depth_m}})


def _ask_about_rise(values: Mapping[str, Any]) -> None:
    """Ask where water came from that no rain brought."""
    rise_mm = (values["second_depth_m"] - values["first_depth_m"]) * 1000
    if rise_mm <= values["rain_mm"]:
        return
    words = _(
        "The level rose by %(rise)d mm, and %(rain)s mm of rain was entered. Was "
        "water running in? Then the test says nothing: check both levels and the rain. "
        "If they're right, say so."
    )
    figures = {"rise": round(rise_mm), "rain": values["rain_mm"]}
    raise ValidationError({"sure": words % figures})


@transaction.atomic
def keep_flow(*, test: FlowTest, values: Mapping[str, Any], today: date) -> FlowTest:
    """Keep a measured supply; its flow is the dam's inflow from then.

    Raises
    ------
    ValidationError
        If the day has not come yet, or a bucket fills in no time.
    """
    dam = lock(test.dam)
    _refuse_future("day", values["day"], today)
    fill_in(test, values)
    newest = FlowTest.objects.of_dam(dam).newest_first().first()
    if newest == test:
        dam.inflow_lps = max(round(flowed(test).flow.likely, 2), 0.01)
        dam.save(update_fields=["inflow_lps"])
    return test


@transaction.atomic
def keep_asked(
    *, asked: WaterAsked, values: Mapping[str, Any], today: date
) -> WaterAsked:
    """Add who was asked about the water, and what they answered.

    Raises
    ------
    ValidationError
        If a day has not come yet, the answer came before the question, or an answer
        lacks its day or its words.
    """
    lock(asked.dam)
    for name in ("asked_on", "answered_on"):
        _refuse_future(name, values[name], today)
    answered, asked_on = values["answered_on"], values["asked_on"]
    if answered and answered < asked_on:
        words = _("The answer comes after the question: check both days.")
        raise ValidationError({"answered_on": words})
    return fill_in(asked, values)


@transaction.atomic
def remove(*, row: DamWork | LeakTest | FlowTest | WaterAsked) -> None:
    """Take a line away that was written by mistake."""
    lock(row.dam)
    row.delete()


def _refuse_future(name: str, day: date | None, today: date) -> None:
    if day and day > today:
        raise ValidationError(
            {name: _("That day is in the future. Enter an earlier one.")}
        )
