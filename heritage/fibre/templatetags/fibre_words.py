"""Weights as pages write them."""

from math import floor, log10

from django import template

from heritage.lots.words import kilograms

register = template.Library()


@register.filter
def kg(grams: int) -> str:
    """Write grams as kilograms."""
    return kilograms(grams)


@register.filter
def about(amount: float) -> str:
    """Write an estimate as people say it: two figures, and thousands parted."""
    if amount <= 0:
        return "0"
    step = 10 ** (floor(log10(amount)) - 1)
    rounded = round(amount / step) * step
    return f"{rounded:,.0f}" if step >= 1 else f"{rounded:.{-round(log10(step))}f}"


@register.filter
def near(amount: float) -> str:
    """Write an amount as near as it is known."""
    if amount >= 100:
        return f"{amount:,.0f}"
    return f"{amount:.1f}" if amount >= 1 else f"{amount:.2f}"
