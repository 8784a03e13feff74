"""Weights as pages write them."""

from django import template

from heritage.lots.words import kilograms

register = template.Library()


@register.filter
def kg(grams: int) -> str:
    """Write grams as kilograms."""
    return kilograms(grams)


@register.filter
def near(amount: float) -> str:
    """Write an amount as near as it is known."""
    if amount >= 100:
        return f"{amount:,.0f}"
    return f"{amount:.1f}" if amount >= 1 else f"{amount:.2f}"
