"""What visitors' pages say of a gathering, of the field and of the place."""

import re
from decimal import Decimal

from django import template
from django.urls import reverse
from django.utils.translation import gettext as _

from heritage.gatherings.selectors import GatheringLine
from heritage.public import words
from heritage.public.telling.sheets import whole

register = template.Library()


@register.filter
def hands_wanted(line: GatheringLine) -> str:
    """Say whether helpers are wanted at a gathering."""
    short = sum(one.filling.short for one in line.short)
    return words.hands_wanted(places=line.places, short=short, free=line.free)


@register.filter
def first_sentence(text: str) -> str:
    """Return the first sentence of what somebody wrote."""
    return re.split(r"(?<=[.!?])\s", text.strip(), maxsplit=1)[0]


@register.simple_tag(takes_context=True)
def page_meta(context: template.Context) -> dict[str, str]:
    """Return the addresses that a link to this page is told by."""
    slug = context["standing"].demonstration.slug
    return {
        "address": whole(context["request"].path),
        "card": whole(reverse("public:card", args=[slug])),
        "news": reverse("public:news", args=[slug]),
    }


@register.simple_tag
def geo_link(latitude: Decimal, longitude: Decimal) -> dict[str, str]:
    """Return where a place is, as map programs take it (RFC 5870) and as people do."""
    north = _("N") if latitude >= 0 else _("S")
    east = _("E") if longitude >= 0 else _("W")
    return {
        "url": f"geo:{latitude:.5f},{longitude:.5f}",
        "words": f"{abs(latitude):.5f} {north}, {abs(longitude):.5f} {east}",
    }
