"""The crop of the show: sown, seen to grow, and followed after the dam to line."""

import json
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from heritage.demo.ground import FIXTURES
from heritage.fibre.grass import services as grass
from heritage.fibre.models import GrassEntry, Way
from heritage.fibre.store.services import keep_dry_test, keep_store_check
from heritage.fibre.work.services import Opened, Out, hold_session
from heritage.growth.services import keep_sowing, observe
from heritage.growth.warmth.selectors import DayOfWarmth
from heritage.growth.warmth.services import take_in_days
from heritage.lots.models import Lot, Place
from heritage.lots.selectors import can_go
from heritage.people.models import User
from heritage.season.models import Demonstration, Plot

IN_THE_EVENING = time(21)


def read_crop() -> dict[str, Any]:
    """Return the scenario of the crop."""
    text = (FIXTURES / "carrowlint_crop.json").read_text(encoding="utf-8")
    crop: dict[str, Any] = json.loads(text)
    return crop


class Growing:
    """The making of the crop's own story, up to the moment shown."""

    def __init__(
        self, demonstration: Demonstration, organiser: User, now: datetime
    ) -> None:
        self.crop = read_crop()
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


class AfterTheDam:
    """What became of the crop on the grass, in the store and at the brake."""

    def __init__(
        self, demonstration: Demonstration, organiser: User, now: datetime
    ) -> None:
        self.crop = read_crop()
        self.here: dict[str, Any] = {"demonstration": demonstration}
        self.by, self.now = organiser, now
        self.lots = {one.number: one for one in Lot.objects.of(demonstration)}

    def make(self) -> None:
        """Make all of it that has happened."""
        for row in self.crop["grass"]:
            if _at(row["spread_at"]) <= self.now:
                self.spread(row)
        self.feel_the_weather()
        for row in self.crop["sessions"]:
            if _at(row["ended_at"]) <= self.now:
                self.work(row)
        self.look_at_the_store()

    def spread(self, row: dict[str, Any]) -> None:
        """Spread some lots, write down what was done and found, and bring them in."""
        at = _at(row["spread_at"])
        beets = {
            self.lots[number]: can_go(self.lots[number], Place.GRASS, at)
            for number in row["lots"]
        }
        spreading = grass.spread(
            **self.here,
            way=Way.AFTER_DAM,
            beets=beets,
            spread_at=at,
            where=row["where"],
            area_m2=row["area_m2"],
            by=self.by,
            now=at,
        )
        for moment, what, note in row["entries"]:
            if (then := _at(moment)) <= self.now:
                entry = GrassEntry(spreading=spreading)
                grass.write_entry(
                    entry=entry, at=then, what=what, note=note, by=self.by, now=then
                )
        if (then := _at(row["in_at"])) <= self.now:
            grass.bring_in(
                spreading=spreading, beets=beets, at=then, by=self.by, now=then
            )

    def feel_the_weather(self) -> None:
        """Write down how wet and warm each day was while flax lay on the grass."""
        today = self.now.date()
        for day, wet, mean in self.crop["grass_weather"]:
            if date.fromisoformat(day) < today:
                grass.keep_weather(
                    **self.here,
                    day=date.fromisoformat(day),
                    wet=wet,
                    mean_c=Decimal(mean),
                    today=today,
                )

    def work(self, row: dict[str, Any]) -> None:
        """Hold a session of breaking, scutching or hackling."""
        moisture = Decimal(row["moisture_pct"])
        opened = {
            self.lots[int(n)]: beets for n, beets in row.get("opened", {}).items()
        }
        ended = _at(row["ended_at"])
        out = {name: row.get(name) for name in ("onward_g", "tow_g", "shive_g")}
        hold_session(
            **self.here,
            work=row["work"],
            opened=Opened(opened, row.get("weighed_g"), moisture),
            lots=[self.lots[number] for number in row.get("lots", ())],
            out=Out(**out, moisture_pct=moisture),
            began_at=_at(row["began_at"]),
            ended_at=ended,
            where=row["where"],
            people=row["people"],
            by=self.by,
            now=ended,
        )

    def look_at_the_store(self) -> None:
        """Test how dry the straw is, and look at the stack."""
        for row in self.crop["store"]["tests"]:
            values = _exact(row, "moisture_pct", "before_pct")
            number, at = values.pop("lot"), _at(values.pop("at"))
            if at <= self.now:
                lot = self.lots[number]
                keep_dry_test(lot=lot, at=at, by=self.by, now=at, **values)
        for moment, air, smell, degrees in self.crop["store"]["checks"]:
            if (at := _at(moment)) <= self.now:
                keep_store_check(
                    **self.here,
                    at=at,
                    air=air,
                    smell=smell,
                    temp_c=Decimal(degrees),
                    by=self.by,
                    now=at,
                )


def _at(moment: str) -> datetime:
    return datetime.fromisoformat(moment)
