"""The land as a page's heading: the sky of the day, and the field under it.

Across, the sky is time: where the sun is, the evening as a bar with what is left of it
thick, the flag at the time to stop. The ground is a share: what stands is on the left,
as wide as its share of the crop, frayed between its bounds where the share is guessed;
then every stook in the field, one mark each. Hills and hedge are decoration.

It has no viewBox: places across are shares of its width and heights are dots, so that
it fills a phone and a wide screen alike, and no stroke or word is stretched.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape
from math import ceil, pi, sin
from random import Random
from typing import Final

from heritage.kits.drawing.land import stook
from heritage.kits.drawing.marks import Area, Line, Mark, Point, Polyline
from heritage.kits.drawing.svg import markup

HEIGHT: Final = 140
HORIZON: Final = 62
SEED: Final = 11
# A share known this closely is drawn with a clean edge.
CLEAN: Final = 0.03
# More than these would hide each other; the words say how many there are.
MOST_STOOKS: Final = 60
ROWS: Final = 3
TEETH: Final = 9
# How finely the sun's way is dotted, and the bar laid along it. [h]
DOTS: Final = 22
STEP: Final = 0.25
PEAK: Final = 44
# From there on a word ends at its mark instead of beginning there.
TURNS: Final = 0.72
HALF: Final = 0.5


@dataclass(frozen=True)
class Hours:
    """The day's times, in hours since its midnight; ``None`` where there is none.

    ``first`` and ``last`` are the ends of the strip. ``now`` is asked for on the day
    itself alone.
    """

    first: float
    last: float
    sunrise: float | None = None
    sunset: float | None = None
    now: float | None = None
    starts: float | None = None
    ends: float | None = None
    stop: float | None = None


@dataclass(frozen=True)
class StripWords:
    """What is said in the sky, and ``told``, the whole in words."""

    told: str
    start: str = ""
    stop: str = ""


@dataclass(frozen=True)
class Strip:
    """What the strip shows: the least and the most that may stand, 0 to 1."""

    least: float
    most: float
    stooks: int
    hours: Hours
    words: StripWords

    @property
    def is_known(self) -> bool:
        """Whether the edge of what stands is known well enough to be drawn."""
        return self.most - self.least <= CLEAN

    @property
    def light(self) -> str:
        """What kind of sky it is: of the day, of a low sun, or dark."""
        at, hours = self.hours.now, self.hours
        if at is None or hours.sunrise is None or hours.sunset is None:
            return "day"
        if not hours.sunrise <= at <= hours.sunset:
            return "dark"
        return "low" if at > hours.sunset - 1.5 else "day"


def strip_svg(strip: Strip) -> str:
    """Write the strip as one ``<svg>``; use it once on a page."""
    parts = (
        _defs(strip), _behind(), *_sky(strip), *_ground(strip), *_stooks(strip),
        *_words(strip),
    )  # fmt: skip
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="100%" height="{HEIGHT}" '
        f'class="land-sky land-{strip.light}" role="img" aria-labelledby="land-told" '
        f'stroke-linecap="round" stroke-linejoin="round">'
        f'<title id="land-told">{escape(strip.words.told)}</title>'
        f"{''.join(parts)}</svg>"
    )


def _defs(strip: Strip) -> str:
    fray = "".join(f"L{x:.2f} {y:.2f}" for x, y in _teeth())
    heads = _tile("stems", 90, _stems(90, ((0.0, 5.0), (5.0, 7.0), (14.0, 9.0))))
    few = _tile("few", 130, _stems(130, ((8.0, 40.0), (18.0, 30.0))))
    clods = _tile("clods", 140, _clods(140))
    return (
        f'<defs><symbol id="land-stook" viewBox="-36 -62 72 66">{_sheaves()}'
        f"</symbol>{heads}{few}{clods}"
        f'<clipPath id="land-fray" clipPathUnits="objectBoundingBox">'
        f'<path d="M0 0{fray}L0 1Z"/></clipPath></defs>'
    )


def _sheaves() -> str:
    """Draw a stook in the theme's own colours: no rule of a page reaches a ``use``."""
    return "".join(
        f'<path fill="var(--{"flax" if mark.role == "flax" else "ink"})" '
        f'd="M{"L".join(f"{x:.1f} {y:.1f}" for x, y in mark.points)}Z"/>'
        for mark in stook(60)
        if isinstance(mark, Area)
    )


def _tile(name: str, width: int, marks: list[Mark]) -> str:
    return (
        f'<pattern id="land-{name}" patternUnits="userSpaceOnUse" width="{width}" '
        f'height="{HEIGHT}">{markup(marks)}</pattern>'
    )


def _teeth() -> Iterator[Point]:
    """Give the torn edge from the top to the foot: between the bounds, 0 to 1."""
    chance = Random(SEED)  # noqa: S311
    for place in range(TEETH):
        yield chance.uniform(0.35, 1), (place + 0.5) / TEETH
        yield chance.uniform(0, 0.3), (place + 1) / TEETH


def _stems(width: int, rows: tuple[tuple[float, float], ...]) -> list[Mark]:
    """Draw rows of stems with their bolls, the nearest last; like marks together."""
    chance = Random(SEED)  # noqa: S311
    marks: list[Mark] = []
    for near, (drop, apart) in enumerate(rows):
        weight = 0.9 + 0.35 * near
        feet = HEIGHT - 2 - 26 * (len(rows) - 1 - near) / len(rows)
        tips = [
            (x + chance.uniform(-2, 2), HORIZON - 6 + drop + chance.uniform(0, 7))
            for x in _places(width, apart, chance)
        ]
        marks += [Polyline([(x, feet), (x, y)], "ink", weight) for x, y in tips]
        forks = [
            ((x, y), (x + side * 3.4, y - 3))
            for x, y in tips
            for side in ((-1, 0, 1) if near else (0,))
        ]
        marks += [Line(*tip, *end, "ink", weight * 0.8) for tip, end in forks]
        marks += [Line(x, y, x + 0.1, y, "ink", 2.6 * weight) for _, (x, y) in forks]
    return marks


def _places(width: int, apart: float, chance: Random) -> list[float]:
    count = max(1, int(width / apart))
    return [
        width * (at + 0.5) / count + chance.uniform(-1.2, 1.2) for at in range(count)
    ]


def _clods(width: int) -> list[Mark]:
    chance = Random(SEED)  # noqa: S311
    spots = [
        (chance.uniform(4, width - 9), chance.uniform(HORIZON + 12, HEIGHT - 5))
        for _ in range(13)
    ]
    return [Line(x, y, x + chance.uniform(2, 5), y - 1.5, "ink", 0.9) for x, y in spots]


def _behind() -> str:
    """Draw hills and hedge, stretched to the width: they mean nothing."""
    ridge = "M0 12C40 2 80 0 120 9S190 14 230 6 320 1 400 10"
    hedge = "M0 5" + "".join(
        f"Q{x - 5} {1 + x % 3} {x} {5 - x // 10 % 2}" for x in range(10, 401, 10)
    )
    return (
        f'<rect class="land-air" width="100%" height="{HORIZON + 4}"/>'
        f"{_stretched(HORIZON - 16, 18, ridge, 'stone')}"
        f"{_stretched(HORIZON - 4, 9, hedge, 'grass')}"
        f'<rect class="land-soil" y="{HORIZON + 3}" width="100%" height="100%"/>'
        f'<rect fill="url(#land-clods)" width="100%" height="100%"/>'
    )


def _stretched(y: int, deep: int, path: str, tint: str) -> str:
    return (
        f'<svg y="{y}" width="100%" height="{deep}" viewBox="0 0 400 {deep}" '
        f'preserveAspectRatio="none"><path class="land-{tint}" '
        f'd="{path}V{deep}H0Z"/><path class="land-line" d="{path}"/></svg>'
    )


def _across(hours: Hours, at: float) -> float:
    return (at - hours.first) / (hours.last - hours.first)


def _x(share: float) -> str:
    return f"{100 * share:.1f}%"


def _high(hours: Hours, at: float) -> float:
    """Return how high the sun's way is drawn; it is a sign, and not an angle."""
    if hours.sunrise is None or hours.sunset is None:
        return HORIZON - 8
    share = (at - hours.sunrise) / (hours.sunset - hours.sunrise)
    return HORIZON - 3 - PEAK * max(0.0, sin(pi * max(0.0, min(1.0, share))))


def _sky(strip: Strip) -> Iterator[str]:
    hours = strip.hours
    if hours.sunset is not None:
        for dot in range(DOTS + 1):
            at = hours.first + (hours.last - hours.first) * dot / DOTS
            if hours.sunrise is not None and hours.sunrise <= at <= hours.sunset:
                yield (
                    f'<circle class="land-dot" cx="{_x(_across(hours, at))}" '
                    f'cy="{_high(hours, at):.1f}" r="1.3"/>'
                )
    yield from _bar(hours)
    if strip.light != "dark" and hours.now is not None and hours.sunset is not None:
        x, y = _x(_across(hours, hours.now)), _high(hours, hours.now)
        yield f'<circle class="land-sun" cx="{x}" cy="{y:.1f}" r="9"/>'
        yield f'<circle class="land-rays" cx="{x}" cy="{y:.1f}" r="14"/>'
    if hours.stop is not None:
        x = _x(_across(hours, hours.stop))
        yield f'<line class="land-pole" x1="{x}" y1="26" x2="{x}" y2="{HORIZON + 6}"/>'
        yield (
            f'<svg x="{x}" y="26" overflow="visible"><path class="land-flag" '
            'd="M0 0L-20 1.5L-15 6L-20 11L0 10.5Z"/></svg>'
        )


def _bar(hours: Hours) -> Iterator[str]:
    """Lay the evening along the sun's way: thin is past, thick is left."""
    if hours.starts is None or hours.ends is None:
        return
    ends = hours.ends
    turn = hours.starts if hours.now is None else max(hours.starts, hours.now)
    turn = min(turn, ends)
    for name, start, stop in (("past", hours.starts, turn), ("left", turn, ends)):
        steps = max(1, ceil((stop - start) / STEP)) if stop > start else 0
        for step in range(steps):
            one, other = (start + (stop - start) * (step + k) / steps for k in (0, 1))
            yield (
                f'<line class="land-{name}" x1="{_x(_across(hours, one))}" '
                f'y1="{_high(hours, one):.1f}" x2="{_x(_across(hours, other))}" '
                f'y2="{_high(hours, other):.1f}"/>'
            )


def _ground(strip: Strip) -> Iterator[str]:
    top = HORIZON - 1
    sure = strip.least
    if strip.is_known:
        sure = (strip.least + strip.most) / 2
    box = f'y="{top}" height="{HEIGHT - top - 2}"'
    if sure > 0:
        yield f'<rect class="land-flax" width="{_x(sure)}" {box}/>'
        yield f'<rect fill="url(#land-stems)" width="{_x(sure)}" height="100%"/>'
    if strip.is_known:
        if 0 < sure < 1:
            x = _x(sure)
            ends = f'x1="{x}" y1="{top}" x2="{x}" y2="{HEIGHT}"'
            yield f'<line class="land-edge" {ends}/>'
        return
    torn = f'x="{_x(sure)}" width="{_x(strip.most - sure)}"'
    yield f'<rect class="land-flax" clip-path="url(#land-fray)" {torn} {box}/>'
    yield f'<rect fill="url(#land-few)" {torn} height="100%"/>'


def _stooks(strip: Strip) -> Iterator[str]:
    """Set the stooks in rows on the ground that is pulled, the nearest row last."""
    count = min(strip.stooks, MOST_STOOKS)
    start = min(strip.most, max(strip.least, 0.62)) + 0.02
    rows = min(ROWS, ceil(count / 5))
    for row in range(rows):
        here = count // rows + (row < count % rows)
        size = 34 + 4 * (row + 1 - rows)
        y = HEIGHT - 6 - 17 * (rows - 1 - row) - size
        for at in range(here):
            share = start + (0.985 - start) * (at + 0.25 + 0.5 * (row % 2)) / here
            yield (
                f'<svg x="{_x(share)}" y="{y}" overflow="visible">'
                f'<use href="#land-stook" x="{-size / 2:g}" width="{size}" '
                f'height="{size}"/></svg>'
            )


def _words(strip: Strip) -> Iterator[str]:
    hours, words = strip.hours, strip.words
    if hours.starts is not None and words.start:
        at = _across(hours, hours.starts)
        # Late in the day it would meet the word at the flag.
        yield _word(at, 18 if at < HALF else 37, words.start)
    if hours.stop is not None and words.stop:
        yield _word(min(0.985, _across(hours, hours.stop) + 0.02), 18, words.stop)


def _word(share: float, y: int, text: str) -> str:
    anchor = "end" if share > TURNS else "start"
    at = f'x="{_x(share)}" y="{y}" text-anchor="{anchor}"'
    return f"<text {at}>{escape(text)}</text>"
