"""Write down the stones for the dam: each is weighed and marked once."""

from decimal import Decimal

from django.db import transaction

from heritage.machines.models import Stone
from heritage.season.models import Demonstration


@transaction.atomic
def add_stone(
    *,
    demonstration: Demonstration,
    mark: str,
    weight_kg: Decimal,
    how_many: int = 1,
    weighed: bool = True,
) -> Stone:
    """Write down a stone, or a number alike."""
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    stone = Stone(demonstration=demonstration)
    return _keep(stone, mark, weight_kg, how_many, weighed)


@transaction.atomic
def edit_stone(
    *, stone: Stone, mark: str, weight_kg: Decimal, how_many: int, weighed: bool
) -> Stone:
    """Put a stone right."""
    stone = Stone.objects.select_for_update().get(pk=stone.pk)
    return _keep(stone, mark, weight_kg, how_many, weighed)


@transaction.atomic
def delete_stone(*, stone: Stone) -> None:
    """Take a stone off the list."""
    Stone.objects.select_for_update().get(pk=stone.pk).delete()


def _keep(
    stone: Stone, mark: str, weight_kg: Decimal, how_many: int, weighed: bool
) -> Stone:
    stone.mark, stone.weight_kg = mark.strip(), weight_kg
    stone.how_many, stone.weighed = how_many, weighed
    stone.full_clean()
    stone.save()
    return stone
