"""The crop of the show: how it was sown, what was seen of it, how warm it was."""

import json
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from heritage.demo.ground import FIXTURES
from heritage.growth.services import keep_sowing, observe
from heritage.growth.warmth.selectors import DayOfWarmth
from heritage.growth.warmth.services import take_in_days
from heritage.people.models import User
from heritage.season.models import Demonstration, Plot

IN_THE_EVENING = time(21)


class Growing:
    """The making of the crop's own story, up to the moment shown."""

    def __init__(
        self, demonstration: Demonstration, organiser: User, now: datetime
    ) -> None:
        text = (FIXTURES / "carrowlint_crop.json").read_text(encoding="utf-8")
        self.crop: dict[str, Any] = json.loads(text)
        self.demonstration = demonstration
        self.organiser, self.now = organiser, now
        self.plots = {one.name: one for one in Plot.objects.of(demonstration)}

    def make(self) -> None:
        """Make all of it."""
        self.sow()
        self.feel_the_warmth()
        self.look()

    def sow(self) -> None:
        """Write down how each plot was sown."""
        for row in self.crop["sowing"]:
            values = dict(row)
            keep_sowing(
                plot=self.plots[values.pop("plot")],
                sown_on=date.fromisoformat(values.pop("sown_on")),
                seed=Decimal(values.pop("seed")),
                seed_in=values.pop("seed_in"),
                values=values
                | {
                    name: Decimal(row[name]) for name in ("thousand_seed_g", "depth_cm")
                },
            )

    def feel_the_warmth(self) -> None:
        """Take in the lowest and highest temperature of each day until now."""
        warmth = self.crop["warmth"]
        day = date.fromisoformat(warmth["first_day"])
        days = []
        for low, high in warmth["days"]:
            if day < self.now.date():
                days.append(DayOfWarmth(day, Decimal(str(low)), Decimal(str(high))))
            day += timedelta(days=1)
        take_in_days(
            demonstration=self.demonstration,
            days=days,
            by=self.organiser,
            now=self.now,
        )

    def look(self) -> None:
        """Write down what was seen of the crop, on the evening it was seen."""
        zone = self.demonstration.zone
        for row in self.crop["seen"]:
            values = _exact(row, "frame_m2")
            day = date.fromisoformat(values.pop("on"))
            then = datetime.combine(day, IN_THE_EVENING, tzinfo=zone)
            if then > self.now:
                continue
            observe(
                plot=self.plots[values.pop("plot")],
                seen_on=day,
                by=self.organiser,
                now=then,
                values=values,
            )


def _exact(row: dict[str, Any], *names: str) -> dict[str, Any]:
    """Return a row with the figures of some names as decimal numbers."""
    return row | {name: Decimal(row[name]) for name in names if name in row}
