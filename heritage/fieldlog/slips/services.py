"""Slips from the field: read with care, for a phone may send anything."""

import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from decimal import Decimal, InvalidOperation
from typing import Any, NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from heritage.fieldlog.models import Kind, Receipt, Thunder
from heritage.gatherings.models import Gathering
from heritage.kits.imaging import Prepared
from heritage.people.models import User, Volunteer

# No clock of a phone in use is further out than this; a stranger one says nothing.
YEARS = range(2000, 2200)


class Unreadable(ValueError):  # noqa: N818 - it names what the slip is
    """A slip without a key or a kind: no receipt can be written for it."""


@dataclass(frozen=True, slots=True)
class Slip:
    """One thing said in the field, under the key that the phone gave it."""

    key: uuid.UUID
    kind: Kind
    data: Mapping[str, Any] = field(default_factory=dict)
    phone_time: datetime | None = None
    sent_at: datetime | None = None
    photograph: bytes | None = None

    def text(self, name: str, most: int) -> str:
        """Return what was written, without what no database can hold.

        Raises
        ------
        ValidationError
            If it is longer than ``most`` characters.
        """
        said = clean_text(self.data.get(name, ""))
        if len(said) > most:
            raise ValidationError(
                _("That is longer than %d letters. Shorten it.") % most
            )
        return said

    def whole(self, name: str) -> int:
        """Return a whole number.

        Raises
        ------
        ValidationError
            If it is none.
        """
        said = str(self.data.get(name, "")).strip()
        if not re.fullmatch(r"-?[0-9]{1,9}", said):
            raise ValidationError(_("A whole number is missing."))
        return int(said)

    def decimal(self, name: str) -> Decimal:
        """Return a number, whether written with a point or a comma.

        Raises
        ------
        ValidationError
            If it is none.
        """
        said = str(self.data.get(name, "")).strip().replace(",", ".")
        try:
            number = Decimal(said)
        except InvalidOperation:
            number = Decimal("NaN")
        if not number.is_finite() or abs(number) > 1000:
            raise ValidationError(_("Write the temperature as a number, like 16.5."))
        return number.quantize(Decimal("0.1"))


def read_slip(
    said: Any, *, sent_at: Any = None, photograph: bytes | None = None
) -> Slip:
    """Read one slip as a phone sent it.

    Raises
    ------
    Unreadable
        If its key or its kind cannot be made out.
    """
    if not isinstance(said, Mapping):
        raise Unreadable
    try:
        key, kind = uuid.UUID(str(said.get("key"))), Kind(str(said.get("kind")))
    except ValueError as error:
        raise Unreadable from error
    data = said.get("data")
    return Slip(
        key=key,
        kind=kind,
        data=data if isinstance(data, Mapping) else {},
        phone_time=read_moment(said.get("at")),
        sent_at=read_moment(sent_at),
        photograph=photograph,
    )


def read_moment(said: Any) -> datetime | None:
    """Read a moment as a phone writes it; what makes no sense is no moment."""
    try:
        moment = datetime.fromisoformat(str(said))
    except ValueError:
        return None
    if moment.tzinfo is None or moment.year not in YEARS:
        return None
    return moment.astimezone(UTC)


def clean_text(said: Any) -> str:
    """Return text with no NUL and no half of a character, trimmed."""
    whole = str(said).encode("utf-8", "ignore").decode("utf-8")
    return whole.replace("\0", "").strip()


class Kept(NamedTuple):
    """What became of a slip, in words, and of whom it speaks."""

    words: str
    volunteer: Volunteer | None = None
    # Written in apart from somebody of the same name, until a lead settles it.
    is_apart: bool = False


class Desk(NamedTuple):
    """Where a slip is dealt with: at which gathering, by whom, and for what time."""

    gathering: Gathering
    slip: Slip
    by: User
    at: datetime
    now: datetime
    prepared: Prepared | None = None


def person_of(desk: Desk, name: str = "person") -> Volunteer:
    """Return whom a slip speaks of: by number, or by the slip that wrote them in."""
    said = str(desk.slip.data.get(name, ""))
    people = Volunteer.objects.of(desk.gathering.demonstration).active()
    if said.isdecimal() and len(said) < 10:
        person = people.filter(pk=int(said)).first()
        person = person or people.filter(merged_from=int(said)).first()
    else:
        written_in = Receipt.objects.keyed(key_of(desk.slip, name)).walk_ins()
        person = people.filter(pk__in=written_in.values("volunteer")).first()
    if person is None:
        raise ValidationError(_("Nobody of that name is a volunteer here now."))
    return person


def people_of(desk: Desk, name: str) -> list[Volunteer]:
    """Return those whom a slip names in a list; whom nobody knows is passed over."""
    said = desk.slip.data.get(name)
    names = {str(one) for one in said} if isinstance(said, list) else set()
    numbers = [int(one) for one in names if one.isdecimal() and len(one) < 10]
    keys = [one for one in map(_key, names) if one]
    written_in = Receipt.objects.filter(key__in=keys).walk_ins()
    told = (
        Q(pk__in=numbers)
        | Q(merged_from__in=numbers)
        | Q(pk__in=written_in.values("volunteer"))
    )
    people = Volunteer.objects.of(desk.gathering.demonstration).active()
    return list(people.filter(told).distinct())


def _key(said: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(said)
    except ValueError:
        return None


def key_of(slip: Slip, name: str) -> uuid.UUID:
    try:
        return uuid.UUID(str(slip.data.get(name)))
    except ValueError as error:
        raise ValidationError(_("It does not say what it belongs to.")) from error


@transaction.atomic
def hear_thunder(*, gathering: Gathering, by: User, at: datetime) -> Thunder:
    """Write down that thunder was heard: the wait of thirty minutes starts anew."""
    row = Thunder(gathering=gathering, at=at, by=by)
    row.full_clean()
    row.save()
    return row
