"""Hours of turnout, added up by the database."""

from decimal import Decimal
from typing import Any

from django.db import models
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models.sql.compiler import SQLCompiler

from heritage.gatherings.models import Turnout
from heritage.gatherings.selectors import as_hours
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration


class Stay(models.Func):
    """How long somebody was there, in whole seconds.

    Django would fetch both moments and build a span of each pair: for a season's
    turnout that takes longer than all the rest of a page.
    """

    output_field = models.IntegerField()

    def __init__(self) -> None:
        super().__init__("left_at", "arrived_at")

    def as_sqlite(
        self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **extra: Any
    ) -> Any:
        days = "(julianday(%(expressions)s))"
        return self.as_sql(
            compiler,
            connection,
            template=f"CAST(ROUND({days} * 86400.0) AS INTEGER)",
            arg_joiner=") - julianday(",
            **extra,
        )

    def as_postgresql(
        self, compiler: SQLCompiler, connection: BaseDatabaseWrapper, **extra: Any
    ) -> Any:
        return self.as_sql(
            compiler,
            connection,
            template="CAST(EXTRACT(EPOCH FROM (%(expressions)s)) AS INTEGER)",
            arg_joiner=" - ",
            **extra,
        )


def hours_by(
    demonstration: Demonstration, key: str, volunteer: Volunteer | None = None
) -> dict[int, Decimal]:
    """Add up hours of turnout by volunteer or gathering; who has not left has none."""
    rows = Turnout.objects.of(demonstration).filter(left_at__isnull=False)
    if volunteer:
        rows = rows.by(volunteer)
    spent = rows.order_by().values_list(key).annotate(seconds=models.Sum(Stay()))
    return {row: as_hours(seconds) for row, seconds in spent}
