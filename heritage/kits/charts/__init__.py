"""Ready drawings: plain numbers in, a drawing with its own description out."""

from heritage.kits.charts.counts import bars, progress_bar
from heritage.kits.charts.dam import dam_section
from heritage.kits.charts.evening import clock_hours, light_window
from heritage.kits.charts.forecasts import chance_by_day, ret_curve
from heritage.kits.charts.season import StageBar, season_strip

__all__ = [
    "StageBar",
    "bars",
    "chance_by_day",
    "clock_hours",
    "dam_section",
    "light_window",
    "progress_bar",
    "ret_curve",
    "season_strip",
]
