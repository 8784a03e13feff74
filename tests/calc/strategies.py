"""What Hypothesis draws from for calc's properties."""

from datetime import date

from hypothesis import strategies as st

farthings = st.integers(-(10**9), 10**9)
beets = st.integers(0, 100_000)
beets_per_stook = st.integers(1, 24)
areas_m2 = st.fractions(0, 10**7, max_denominator=10_000)
claims = st.lists(st.fractions(0, 1000, max_denominator=1000), max_size=40)
not_finite = st.sampled_from([float("nan"), float("inf"), float("-inf")])
some_claims = claims.filter(any)
shares = st.fractions(0, 1, max_denominator=100)
days = st.dates(date(1950, 1, 1), date(2090, 12, 31))
latitudes = st.floats(-90, 90)
longitudes = st.floats(-180, 180)
temperatures_c = st.floats(-30, 45)
humidities = st.floats(0, 100)
winds_ms = st.floats(0, 40)
chances = st.floats(0, 1)
