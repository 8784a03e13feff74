"""How dry the straw is, and looks at the store, as written down."""

from datetime import datetime
from decimal import Decimal
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.calc.fibre import dry_mass, moisture_by_oven
from heritage.common.rows import fill_in, lock
from heritage.fibre.models import DryBy, DryTest, StoreCheck
from heritage.lots.models import Lot
from heritage.people.models import User
from heritage.season.models import Demonstration


@transaction.atomic
def keep_dry_test(
    *,
    lot: Lot,
    way: str,
    at: datetime,
    by: User,
    now: datetime,
    is_dry: bool | None = None,
    before_g: int | None = None,
    before_pct: Decimal | None = None,
    after_g: int | None = None,
    moisture_pct: Decimal | None = None,
    note: str = "",
) -> DryTest:
    """Write down how dry a lot was found, by hand, weight, oven or meter.

    Raises
    ------
    ValidationError
        By field, if what this way of testing needs is missing or cannot be, or the
        moment has not come or lies before the lot was.
    """
    lock(lot.demonstration)
    _refuse_moment(lot, at, now)
    values: dict[str, Any] = {"way": way, "at": at, "note": note.strip()}
    if way == DryBy.HAND:
        if is_dry is None:
            raise ValidationError({"is_dry": _("Say whether it broke with a crack.")})
        values["is_dry"] = is_dry
    elif way == DryBy.METER:
        values["moisture_permille"] = _permille(_needed("moisture_pct", moisture_pct))
    else:
        before, after = _needed("before_g", before_g), _needed("after_g", after_g)
        values |= {"before_g": before, "after_g": after}
        if way == DryBy.OVEN:
            _refuse_heavier(before, after)
            found = moisture_by_oven(before, after)
        else:
            start = _needed("before_pct", before_pct)
            values["before_permille"] = _permille(start)
            found = _by_weight(before, float(start), after)
        values["moisture_permille"] = round(10 * found)
    test = DryTest(lot=lot, entered_by=by, entered_at=now)
    return fill_in(test, values)


def _refuse_moment(lot: Lot, at: datetime, now: datetime) -> None:
    if at > now:
        raise ValidationError(
            {"at": _("That time is in the future. Enter an earlier one.")}
        )
    if at < lot.made_at:
        raise ValidationError(
            {"at": _("%s wasn't there yet. Enter a later time.") % lot}
        )


def _needed(name: str, value: Any) -> Any:
    if value is None:
        raise ValidationError(
            {name: _("Enter this too: this way of testing needs it.")}
        )
    return value


def _permille(percent: Decimal) -> int:
    return round(10 * percent)


def _refuse_heavier(before: int, after: int) -> None:
    if after > before:
        words = _(
            "It can't weigh more after drying (%(after)s g) than before "
            "(%(before)s g). Check both."
        )
        raise ValidationError({"after_g": words % {"before": before, "after": after}})


def _by_weight(before: int, start_pct: float, after: int) -> float:
    """Return the moisture of a bundle that weighed ``before`` at a known moisture."""
    dry = dry_mass(before, start_pct)
    if after < dry:
        words = _(
            "Of %(before)s g at %(pct)s %% water, %(dry).0f g are dry: it cannot weigh "
            "%(after)s g. Weigh again, or check the moisture it had before."
        )
        figures = {"before": before, "pct": start_pct, "dry": dry, "after": after}
        raise ValidationError({"after_g": words % figures})
    return moisture_by_oven(after, dry)


@transaction.atomic
def keep_store_check(
    *,
    demonstration: Demonstration,
    at: datetime,
    air: str,
    smell: str,
    by: User,
    now: datetime,
    temp_c: Decimal | None = None,
    moisture_pct: Decimal | None = None,
    note: str = "",
) -> StoreCheck:
    """Write down a look at the store.

    Raises
    ------
    ValidationError
        If the moment has not come.
    """
    lock(demonstration)
    if at > now:
        raise ValidationError(
            {"at": _("That time is in the future. Enter an earlier one.")}
        )
    check = StoreCheck(demonstration=demonstration, entered_by=by, entered_at=now)
    values = {"at": at, "air": air, "smell": smell, "temp_c": temp_c}
    permille = None if moisture_pct is None else _permille(moisture_pct)
    return fill_in(
        check, values | {"moisture_permille": permille, "note": note.strip()}
    )
