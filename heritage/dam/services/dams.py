"""Dams: measured once, mended when measured better."""

from decimal import Decimal
from typing import TypedDict

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.dam.models import Dam, Ret
from heritage.season.models import Demonstration


class Measures(TypedDict):
    """What is known of a dam: its name, its size, its inflow and its stones."""

    name: str
    top_length_m: Decimal
    top_width_m: Decimal
    bottom_length_m: Decimal
    bottom_width_m: Decimal
    depth_m: Decimal
    inflow_lps: Decimal | None
    stone_density: int
    stone_kg: Decimal


@transaction.atomic
def add_dam(*, demonstration: Demonstration, measures: Measures) -> Dam:
    """Add a dam to a demonstration.

    Raises
    ------
    ValidationError
        If a measure could not be, or the name is taken.
    """
    dam = Dam(demonstration=demonstration, **measures)
    dam.full_clean()
    dam.save()
    return dam


@transaction.atomic
def edit_dam(*, dam: Dam, measures: Measures) -> Dam:
    """Put a dam's measures right.

    Raises
    ------
    ValidationError
        If a measure could not be, or the water now in the dam would not fit it.
    """
    dam = Dam.objects.select_for_update().get(pk=dam.pk)
    for name, value in measures.items():
        setattr(dam, name, value)
    dam.full_clean()
    _refuse_shallower_than_water(dam)
    dam.save(update_fields=list(measures))
    return dam


def _refuse_shallower_than_water(dam: Dam) -> None:
    ret = Ret.objects.in_dam(dam).going().first()
    if ret and ret.water_depth_m > dam.depth_m:
        raise ValidationError(
            {
                "depth_m": _(
                    "%(water)s m of water stands in this dam now, so it is at least "
                    "that deep."
                )
                % {"water": ret.water_depth_m}
            }
        )
