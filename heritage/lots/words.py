"""How much of the crop is where, in words."""

from collections.abc import Sequence
from decimal import Decimal

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.lots.models import PRODUCTS, Lot, Place

NAMED = 4


def beets_in_words(beets: int) -> str:
    """Say a number of beets."""
    return ngettext("%d beet", "%d beets", beets) % beets


def kilograms(grams: int) -> str:
    """Write grams as kilograms, to the gram where it matters: 19.36, 0.085."""
    digits = "0.001" if grams < 1000 else "0.01"
    return f"{(Decimal(grams) / 1000).quantize(Decimal(digits)):f}"


def in_words(beets: int, dry_g: int) -> str:
    """Say how much something is: beets, dry weight, or both."""
    amounts = []
    if beets:
        amounts.append(beets_in_words(beets))
    if dry_g:
        amounts.append(_("%s kg dry") % kilograms(dry_g))
    return _("%(beets)s and %(weight)s") % {
        "beets": amounts[0], "weight": amounts[1],
    } if len(amounts) == 2 else "".join(amounts)  # fmt: skip


def there_in_words(place: Place, beets: int, dry_g: int) -> str:
    """Say what is where: 85 beets in the store, 5.72 kg to be scutched, 2 kg of tow.

    What is less than none was found again: it had been counted as lost, or not at all.
    """
    found = _amounts(-beets, -dry_g)
    said = [_("%s found") % found] if place == Place.LOST and found else []
    if there := _amounts(beets, dry_g):
        words = _("%(much)s of %(what)s") if place in PRODUCTS else "%(much)s %(what)s"
        said.append(words % {"much": there, "what": place.label})
    return ", ".join(said)


def _amounts(beets: int, dry_g: int) -> str:
    amounts = [beets_in_words(beets)] if beets > 0 else []
    if dry_g > 0:
        amounts.append(_("%s kg") % kilograms(dry_g))
    return _(" and ").join(amounts)


def lots_in_words(lots: Sequence[Lot]) -> str:
    """Name some lots, but no more than fit a line: Lot 1, Lot 2 and 3 more."""
    named = ", ".join(str(lot) for lot in lots[:NAMED])
    if len(lots) <= NAMED:
        return named
    return _("%(lots)s and %(number)d more") % {
        "lots": named,
        "number": len(lots) - NAMED,
    }
