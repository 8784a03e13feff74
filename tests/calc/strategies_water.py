"""Dams, temperatures and logs, drawn at random but never out of the world."""

from collections import namedtuple
from datetime import UTC, date, datetime, timedelta

from hypothesis import strategies as st

from heritage.calc.dam import Basin
from heritage.calc.lifting import Duration, Grip, LiftTask
from heritage.calc.retting import KnownBy, Reading, RetModel, days_at, scatter
from heritage.calc.rota import Person, Rules, Slot

STEEPED = datetime(2026, 8, 20, 19, 30, tzinfo=UTC)

# The early, likely and late length of a ret in water of one warmth.
Days = namedtuple("Days", "low likely high")


def days_band(temp_c, *, known_by=KnownBy.THERMOMETER):
    """Return the days between which four batches in five should be ready."""
    model, likely = RetModel(sigma=scatter(known_by, mean_c=temp_c)), days_at(temp_c)
    return Days(likely * model.early, likely, likely * model.late)


lengths = st.floats(0.5, 60.0)
shares = st.floats(0.0, 1.0)
weights = st.floats(0.0, 20_000.0)
waters = st.floats(12.0, 33.0)
any_waters = st.floats(-2.0, 45.0)


@st.composite
def basins(draw):
    """Draw a dam with sloping or upright sides."""
    length, width, depth = draw(lengths), draw(lengths), draw(st.floats(0.2, 2.0))
    return Basin(length, width, length * draw(shares), width * draw(shares), depth)


@st.composite
def rising_times(draw, least=1, most=30):
    """Draw aware moments, each minutes to days after the one before."""
    gaps = draw(
        st.lists(st.integers(1, 3 * 24 * 60), min_size=least - 1, max_size=most - 1)
    )
    times = [STEEPED]
    for minutes in gaps:
        times.append(times[-1] + timedelta(minutes=minutes))
    return times


@st.composite
def logs(draw, temps=waters, least=1, most=30):
    """Draw a log of water temperatures in order."""
    times = draw(rising_times(least, most))
    values = draw(st.lists(temps, min_size=len(times), max_size=len(times)))
    return [Reading(at, temp) for at, temp in zip(times, values, strict=True)]


@st.composite
def rotas(draw):
    """Draw a few days' slots, some people with their own ways, and rules."""
    days = draw(st.integers(1, 6))
    slots = [
        Slot(f"{n}{part}", date(2026, 8, 21) + timedelta(days=n), people)
        for n in range(days)
        for part, people in (("a", draw(st.sampled_from([None, None, 3]))), ("b", None))
    ]
    names = [slot.name for slot in slots]
    some = st.frozensets(st.sampled_from(names))
    people = []
    for number in range(draw(st.integers(0, 8))):
        fixed = draw(st.frozensets(st.sampled_from(names), max_size=1))
        people.append(
            Person(
                f"P{number}",
                draw(some),
                experienced=draw(st.booleans()),
                most=draw(st.sampled_from([None, None, 0, 2])),
                fixed=fixed,
                refused=draw(some) - fixed,
                costs=draw(st.dictionaries(st.sampled_from(names), st.integers(-3, 9))),
            )
        )
    rules = Rules(
        window_days=draw(st.integers(1, 4)), most_in_window=draw(st.integers(1, 3))
    )
    return slots, people, rules


@st.composite
def lifts(draw):
    """Draw a lift within the equation's reach or a little beyond."""
    return LiftTask(
        load=draw(st.floats(0.5, 40.0)),
        horizontal=draw(st.floats(15.0, 70.0)),
        vertical=draw(st.floats(0.0, 180.0)),
        travel=draw(st.floats(0.0, 180.0)),
        asymmetry_deg=draw(st.floats(0.0, 140.0)),
        lifts_per_minute=draw(st.floats(0.0, 16.0)),
        duration=draw(st.sampled_from(Duration)),
        grip=draw(st.sampled_from(Grip)),
        origin_vertical=draw(st.none() | st.floats(0.0, 175.0)),
    )
