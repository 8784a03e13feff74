"""Taking a file of moves in: each line's verdict first, then all of it or nothing."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import lock
from heritage.kits.tables.read import TableRow
from heritage.lots import services as lots
from heritage.lots.intake.selectors import MoveLine, read_lines
from heritage.lots.services import Amount
from heritage.people.models import User
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Verdicts:
    """What becomes of each line, in the file's order."""

    lines: tuple[MoveLine, ...]

    @property
    def refused(self) -> tuple[MoveLine, ...]:
        return tuple(line for line in self.lines if line.why_not)

    @property
    def new(self) -> tuple[MoveLine, ...]:
        return tuple(line for line in self.lines if line.given and not line.why_not)

    @property
    def there(self) -> tuple[MoveLine, ...]:
        return tuple(line for line in self.lines if line.is_there)


@transaction.atomic
def judge(
    *, demonstration: Demonstration, lines: Sequence[TableRow], by: User, now: datetime
) -> Verdicts:
    """Try every line, the earliest first, and keep none of them."""
    here = lock(demonstration)
    tried = transaction.savepoint()
    verdicts = _tried(here, lines, by, now)
    transaction.savepoint_rollback(tried)
    return verdicts


@transaction.atomic
def take_in(
    *, demonstration: Demonstration, lines: Sequence[TableRow], by: User, now: datetime
) -> Verdicts:
    """Write all lines of a file as moves; what is there already is passed over.

    Raises
    ------
    ValidationError
        If any line is refused: then nothing at all is written.
    """
    verdicts = _tried(lock(demonstration), lines, by, now)
    if verdicts.refused:
        first = verdicts.refused[0]
        raise ValidationError(
            _("Nothing was added. Row %(line)d: %(why)s"),
            params={"line": first.number, "why": first.why_not},
        )
    return verdicts


def _tried(
    here: Demonstration, lines: Sequence[TableRow], by: User, now: datetime
) -> Verdicts:
    read = read_lines(here, lines)
    in_order = sorted(
        (line for line in read if line.given),
        key=lambda line: line.given["at"],  # type: ignore[index]
    )
    judged = {line.number: _written(line, by, now) for line in in_order}
    return Verdicts(tuple(judged.get(line.number, line) for line in read))


def _written(line: MoveLine, by: User, now: datetime) -> MoveLine:
    given = dict(line.given or {})
    amount = Amount(**given.pop("amount"))
    try:
        with transaction.atomic():
            lots.move(amount=amount, by=by, now=now, **given)
    except ValidationError as error:
        return replace(line, why_not=" ".join(error.messages))
    return line
