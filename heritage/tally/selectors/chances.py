"""Chances, as people read them."""

from django.utils.translation import gettext as _


def percent(chance: float) -> str:
    """Write a chance; what is not certain never looks so."""
    if 0 < chance < 0.01:
        return _("under 1 %")
    if 0.99 < chance < 1:
        return _("over 99 %")
    return f"{round(100 * chance)} %"
