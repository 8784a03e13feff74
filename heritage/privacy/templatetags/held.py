"""Values of a record, as people read them."""

from django import template

from heritage.privacy.held.selectors import shown
from heritage.privacy.selectors import Value
from heritage.season.models import Demonstration

register = template.Library()


@register.filter
def told(value: Value, demonstration: Demonstration) -> str:
    """Write one value of a record in words, in the demonstration's own time."""
    return shown(value, demonstration)
