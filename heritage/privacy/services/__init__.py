"""Every change that people may ask for in what is held of them."""

from heritage.privacy.services.agreements import take_back

__all__ = ["take_back"]
