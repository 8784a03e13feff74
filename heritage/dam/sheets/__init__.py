"""What the dam's room prints."""

from heritage.dam.sheets.log import log_sheet
from heritage.dam.sheets.rota import rota_sheet

__all__ = ["log_sheet", "rota_sheet"]
