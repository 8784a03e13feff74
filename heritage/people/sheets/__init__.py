"""What is printed about people."""

from heritage.people.sheets.claim import claim_sheet

__all__ = ["claim_sheet"]
