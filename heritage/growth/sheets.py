"""What was seen of the crop, as a file for a spreadsheet."""

from collections.abc import Iterable, Iterator

from django.utils.translation import gettext as _

from heritage.growth.models import Observation
from heritage.kits.tables.write import Cell, csv_table

NUMBERS = (
    "height_cm", "bbch", "stems_yellow", "leaves_fallen", "bolls_green",
    "bolls_yellow", "bolls_brown", "lodged",
)  # fmt: skip


def observations_csv(rows: Iterable[Observation]) -> Iterator[str]:
    """Write the observations as CSV, a line at a time."""
    return csv_table(_heads(), (_cells(row) for row in rows))


def _heads() -> list[str]:
    fields = {one.name: one.verbose_name for one in Observation._meta.fields}
    names = ["seen_on", "plot", "flower", *NUMBERS, "frame_m2", "counts"]
    return [str(fields[name]) for name in [*names, "weeds", "note"]] + [_("entered by")]


def _cells(row: Observation) -> list[Cell]:
    numbers = (getattr(row, name) for name in NUMBERS)
    return [
        row.seen_on.isoformat(),
        row.plot.name,
        row.get_flower_display() if row.flower else "",
        *("" if number is None else number for number in numbers),
        "" if row.frame_m2 is None else f"{row.frame_m2.normalize():f}",
        " ".join(map(str, row.counts)),
        row.get_weeds_display() if row.weeds else "",
        row.note,
        str(row.by),
    ]
