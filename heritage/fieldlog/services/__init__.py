"""Everything that the field page writes."""

from heritage.fieldlog.services.receiving import counts_from, receive
from heritage.fieldlog.services.sky import hear_thunder
from heritage.fieldlog.services.slips import Slip, Unreadable, read_slip

__all__ = ["Slip", "Unreadable", "counts_from", "hear_thunder", "read_slip", "receive"]
