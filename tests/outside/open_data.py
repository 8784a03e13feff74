"""Real seasons, as a package ships them."""

import csv
from datetime import date, datetime
from typing import NamedTuple

from vega_datasets import local_data


class SeattleDay(NamedTuple):
    """A day at Seattle-Tacoma airport, 2012 to 2015 (NOAA, by vega_datasets)."""

    day: date
    rain_mm: float
    tmax_c: float
    tmin_c: float
    wind_ms: float


def seattle_days():
    """Read 1461 days in a row."""
    with open(local_data.seattle_weather.filepath, encoding="utf-8") as file:
        return [
            SeattleDay(
                datetime.strptime(row["date"], "%Y/%m/%d").date(),  # noqa: DTZ007
                float(row["precipitation"]),
                float(row["temp_max"]),
                float(row["temp_min"]),
                float(row["wind"]),
            )
            for row in csv.DictReader(file)
        ]
