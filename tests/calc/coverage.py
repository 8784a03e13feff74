"""How often the truth falls inside a stated range, by playing it out many times."""

from datetime import date, timedelta

import numpy as np

from heritage.calc.pulling import Evening, finish_forecast, turnout_capacity
from heritage.calc.stand import Sample, measured_ratio, measured_stand

PIECES, PIECE_M2, MEAN_BEETS = 10, 10.0, 60
FIRST = date(2026, 7, 1)
# Gabriel and Neumann's Tel Aviv: a dry day after a wet one, and after a dry one.
TEL_AVIV = (1 - 0.662, 0.750)


def field(random, *, spread=0.25, alike=0.0):
    """Count the beets of ten pieces; ``alike`` is how one follows its neighbour."""
    off = random.normal(size=PIECES)
    for piece in range(1, PIECES):
        off[piece] = alike * off[piece - 1] + (1 - alike**2) ** 0.5 * off[piece]
    width = np.log1p(spread**2)
    return random.poisson(MEAN_BEETS * np.exp(width**0.5 * off - width / 2))


def stand_coverage(pulled, *, runs, spread=0.25, alike=0.0, seed=7):
    """Pull the first pieces of ten, estimate the whole, then count the whole."""
    random, held = np.random.default_rng(seed), 0
    for _ in range(runs):
        counts = field(random, spread=spread, alike=alike)
        samples = [Sample(int(count), PIECE_M2) for count in counts[:pulled]]
        stand = measured_stand(PIECES * PIECE_M2, samples)
        held += stand.low <= counts.sum() <= stand.high
    return held / runs


def ratio_coverage(pulled, *, runs, spread=0.25, ahead=np.inf, seed=7):
    """Pull some pieces and say what the next give, or all pieces there could be."""
    random, held = np.random.default_rng(seed), 0
    for _ in range(runs):
        counts = field(random, spread=spread)
        samples = [Sample(int(count), PIECE_M2) for count in counts[:pulled]]
        band = measured_ratio(samples, pieces_ahead=ahead)
        truth = MEAN_BEETS if ahead == np.inf else counts[pulled:][:ahead].mean()
        held += band.low <= truth / PIECE_M2 <= band.high
    return held / runs


def finish_day(random, left, outcomes, weather):
    """Play one season out: the evening on which the last beet is pulled."""
    beets, odds = (np.array(each) for each in zip(*outcomes, strict=True))
    dry, evening = False, 0
    while left > 0:
        dry = random.random() < weather[dry]
        left -= int(random.choice(beets, p=odds / odds.sum())) if dry else 0
        evening += 1
    return evening


def finish_coverage(
    *, runs, weather=TEL_AVIV, told=TEL_AVIV, comes=0.6, evenness=5.0, seed=7
):
    """Share of seasons between the days of one chance in ten and of nine.

    The forecast is ``told`` one weather, and always that six in ten come.
    """
    random, left = np.random.default_rng(seed), 1_500
    outlook = [
        Evening(FIRST + timedelta(days=n), turnout_capacity(20, 12)) for n in range(90)
    ]
    said = finish_forecast(
        left, outlook, wet_to_dry=told[0], dry_to_dry=told[1], last_was_dry=False
    )
    early, late = ((said.day_at(q) - FIRST).days + 1 for q in (0.1, 0.9))
    true = turnout_capacity(20, 12, mean_share=comes, evenness=evenness)
    days = [finish_day(random, left, true, weather) for _ in range(runs)]
    return sum(early <= day <= late for day in days) / runs
