"""The stages of fibre flax by their published codes."""

from enum import IntEnum


class FlaxStage(IntEnum):
    """The BBCH table made for fibre flax (Arvalis, printed at syngenta.fr).

    It counts height in groups 1 and 3, has no group 7, and its 89 is "pulled". Papers
    that speak of 75, 79 or 83 mean the general scale, which is another table.
    """

    SOIL_CRACKS = 8
    COTYLEDONS = 9
    FIRST_LEAVES = 10
    TWO_LEAVES = 12
    FOUR_LEAVES = 14
    TALL_5_CM = 15
    TALL_7_CM = 17
    TALL_10_CM = 31
    TALL_20_CM = 32
    TALL_30_CM = 33
    TALL_40_CM = 34
    TALL_50_CM = 35
    TALL_60_CM = 36
    TALL_70_CM = 37
    TALL_80_CM = 38
    FINAL_HEIGHT = 39
    BUDS = 51
    FLOWER_START = 61
    FLOWER_FULL = 65
    FLOWER_END = 69
    RIPENING = 81
    RIPE = 85
    PULLED = 89
    DRY_STEMS = 90
    HALF_RETTED = 95
    RETTED = 98
    OVER_RETTED = 99

    @property
    def is_standing(self) -> bool:
        """Whether the crop still stands in the field."""
        return self < FlaxStage.PULLED


_BY_HEIGHT = (
    (80, FlaxStage.TALL_80_CM),
    (70, FlaxStage.TALL_70_CM),
    (60, FlaxStage.TALL_60_CM),
    (50, FlaxStage.TALL_50_CM),
    (40, FlaxStage.TALL_40_CM),
    (30, FlaxStage.TALL_30_CM),
    (20, FlaxStage.TALL_20_CM),
    (10, FlaxStage.TALL_10_CM),
    (7, FlaxStage.TALL_7_CM),
    (5, FlaxStage.TALL_5_CM),
    (3, FlaxStage.FOUR_LEAVES),
)


def stage_at_height(height_cm: float) -> FlaxStage | None:
    """Give the stage that a crop's height alone tells.

    Parameters
    ----------
    height_cm : float
        Height of the main stems. [cm]

    Returns
    -------
    FlaxStage or None
        The tallest stage it has reached, at most 80 cm; ``None`` below 3 cm, where
        the leaves are to be counted.
    """
    return next((stage for tall, stage in _BY_HEIGHT if height_cm >= tall), None)
