"""The score of a forecast: against quadrature, a closed form, and what it promises."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import norm

from heritage.calc.dam import Band
from heritage.calc.scores import crps, fared, is_inside

NEAR = pytest.approx
TEN = 1.2815515655446004
figures = st.floats(-50, 50)
widths = st.floats(0.01, 20)


def by_quadrature(band, happened):
    """Integrate the squared distance of the two step curves, by the definition."""

    def below(x):
        half = band.high if x > band.likely else band.low
        sd = abs(half - band.likely) / TEN
        return norm.cdf((x - band.likely) / sd)

    ends = sorted([-400, band.likely, happened, 400])
    return sum(
        quad(lambda x: (below(x) - (x >= happened)) ** 2, a, b, limit=200)[0]
        for a, b in pairwise(ends)
        if b > a
    )


@pytest.mark.parametrize(
    ("band", "happened"),
    [
        (Band(-2, 0, 2), 0.0),
        (Band(-2, 0, 5), 3.0),
        (Band(-2, 0, 5), -1.0),
        (Band(7, 10, 16), 21.0),
    ],
)
def test_it_is_the_integral_of_the_definition(band, happened):
    assert crps(band, happened) == NEAR(by_quadrature(band, happened), abs=1e-6)


@given(figures, widths, figures)
def test_of_a_normal_it_is_the_published_closed_form(middle, sd, happened):
    """Gneiting and Raftery, J. Am. Stat. Assoc. 102 (2007) 359, equation 21."""
    z = (happened - middle) / sd
    closed = sd * (z * (2 * norm.cdf(z) - 1) + 2 * norm.pdf(z) - 1 / math.sqrt(math.pi))
    band = Band(middle - TEN * sd, middle, middle + TEN * sd)
    assert crps(band, happened) == NEAR(closed, abs=1e-9)


@given(figures, figures)
def test_without_doubt_it_is_how_far_off(said, happened):
    assert crps(Band(said, said, said), happened) == NEAR(abs(said - happened))


@given(figures, widths, widths, figures)
def test_it_is_never_negative(likely, down, up, happened):
    assert crps(Band(likely - down, likely, likely + up), happened) >= 0


def test_an_honest_range_scores_better_than_a_boast_or_a_shrug():
    happened = np.random.default_rng(4).standard_normal(4_000)
    scores = [
        fared([(Band(-TEN * sd, 0, TEN * sd), float(one)) for one in happened]).crps
        for sd in (0.4, 1.0, 2.5)
    ]
    assert scores[1] == min(scores)


def test_how_several_fared():
    told = fared([(Band(0, 1, 2), 1.5), (Band(0, 1, 2), 3.0)])
    assert (told.told, told.inside) == (2, 1)
    assert is_inside(Band(0, 1, 2), 2.0)
    with pytest.raises(ValueError, match="one forecast or more"):
        fared([])
