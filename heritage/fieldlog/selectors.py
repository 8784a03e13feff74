"""What a phone sent, read with care; what the field page and the book show."""

import math
import re
import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from decimal import Decimal, InvalidOperation
from typing import Any

from django.core.exceptions import ValidationError
from django.db.models import Q
from django.utils.translation import gettext as _

from heritage.briefings.models import BriefingVersion
from heritage.calc.weather import thunder_hold
from heritage.dam.models import Ret, Treader, Treading
from heritage.dam.treading.selectors import turns_to_write
from heritage.fieldlog.models import CLOSES, FieldNote, Kind, Receipt, Thunder
from heritage.gatherings.gate.selectors import (
    PersonStations,
    StationOffer,
    tonights_stations,
)
from heritage.gatherings.ground.selectors import Light, by_folded_name, folded, light_of
from heritage.gatherings.models import (
    AwaitedQuerySet,
    Gathering,
    Muster,
    SafeQuerySet,
    Turnout,
)
from heritage.gatherings.places.selectors import shown_name
from heritage.lots.selectors import LotLine, lots_to_carry
from heritage.machines.models import Stone
from heritage.people.models import Volunteer
from heritage.season.models import Demonstration, Plot

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
        text = clean_text(self.data.get(name, ""))
        if len(text) > most:
            raise ValidationError(
                _("That is longer than %d letters. Shorten it.") % most
            )
        return text

    def whole(self, name: str) -> int:
        """Return a whole number.

        Raises
        ------
        ValidationError
            If it is none.
        """
        digits = str(self.data.get(name, "")).strip()
        if not re.fullmatch(r"-?[0-9]{1,9}", digits):
            raise ValidationError(_("Enter a whole number."))
        return int(digits)

    def maybe_whole(self, name: str) -> int | None:
        """Return a whole number, or nothing where none was written.

        Raises
        ------
        ValidationError
            If what was written is none.
        """
        return self.whole(name) if str(self.data.get(name, "")).strip() else None

    def decimal(self, name: str) -> Decimal:
        """Return a number, whether written with a point or a comma.

        Raises
        ------
        ValidationError
            If it is none.
        """
        digits = str(self.data.get(name, "")).strip().replace(",", ".")
        try:
            number = Decimal(digits)
        except InvalidOperation:
            number = Decimal("NaN")
        if not number.is_finite() or abs(number) > 1000:
            raise ValidationError(_("Enter the temperature as a number, like 16.5."))
        return number.quantize(Decimal("0.1"))

    def key_in(self, name: str) -> uuid.UUID:
        """Return the key of another slip that this one speaks of.

        Raises
        ------
        ValidationError
            If it is none.
        """
        try:
            return uuid.UUID(str(self.data.get(name)))
        except ValueError as error:
            raise ValidationError(
                _("We can't tell what this is about. Enter it again.")
            ) from error


def read_slip(
    entry: Any, *, sent_at: Any = None, photograph: bytes | None = None
) -> Slip:
    """Read one slip as a phone sent it.

    Raises
    ------
    Unreadable
        If its key or its kind cannot be made out.
    """
    if not isinstance(entry, Mapping):
        raise Unreadable
    try:
        key, kind = uuid.UUID(str(entry.get("key"))), Kind(str(entry.get("kind")))
    except ValueError as error:
        raise Unreadable from error
    data = entry.get("data")
    return Slip(
        key=key,
        kind=kind,
        data=data if isinstance(data, Mapping) else {},
        phone_time=read_moment(entry.get("at")),
        sent_at=read_moment(sent_at),
        photograph=photograph,
    )


def read_moment(written: Any) -> datetime | None:
    """Read a moment as a phone writes it; what makes no sense is no moment."""
    try:
        moment = datetime.fromisoformat(str(written))
    except ValueError:
        return None
    if moment.tzinfo is None or moment.year not in YEARS:
        return None
    return moment.astimezone(UTC)


def clean_text(written: Any) -> str:
    """Return text with no NUL and no half of a character, trimmed."""
    whole = str(written).encode("utf-8", "ignore").decode("utf-8")
    return whole.replace("\0", "").strip()


def person_of(slip: Slip, where: Demonstration, name: str = "person") -> Volunteer:
    """Return whom a slip speaks of: by number, or by the slip that wrote them in."""
    number = str(slip.data.get(name, ""))
    people = Volunteer.objects.of(where).active()
    if number.isdecimal() and len(number) < 10:
        person = people.filter(pk=int(number)).first()
        person = person or people.filter(merged_from=int(number)).first()
    else:
        written_in = Receipt.objects.keyed(slip.key_in(name)).walk_ins()
        person = people.filter(pk__in=written_in.values("volunteer")).first()
    if person is None:
        raise ValidationError(
            _("Nobody with that name is on the list now. Enter it under another name.")
        )
    return person


def people_of(slip: Slip, where: Demonstration, name: str) -> list[Volunteer]:
    """Return those whom a slip names in a list; whom nobody knows is passed over."""
    listed = slip.data.get(name)
    names = {str(one) for one in listed} if isinstance(listed, list) else set()
    numbers = [int(one) for one in names if one.isdecimal() and len(one) < 10]
    keys = [one for one in map(_key, names) if one]
    written_in = Receipt.objects.filter(key__in=keys).walk_ins()
    meant = (
        Q(pk__in=numbers)
        | Q(merged_from__in=numbers)
        | Q(pk__in=written_in.values("volunteer"))
    )
    people = Volunteer.objects.of(where).active()
    return list(people.filter(meant).distinct())


def _key(written: str) -> uuid.UUID | None:
    try:
        return uuid.UUID(written)
    except ValueError:
        return None


@dataclass(frozen=True, slots=True)
class Person:
    """One of tonight's names, and how they stand in the books."""

    volunteer: Volunteer
    arrived_at: datetime | None
    left_at: datetime | None
    here: bool
    beets: int
    walk_in: str
    # Whether they are to be counted, and whether they have been seen.
    awaited: bool
    safe: bool
    stations: PersonStations

    @property
    def name(self) -> str:
        return shown_name(self.volunteer)


@dataclass(frozen=True, slots=True)
class FieldState:
    """Tonight, as the server knows it: all that a phone is told."""

    gathering: Gathering
    people: list[Person]
    offers: tuple[StationOffer, ...]
    # What is to be heard tonight, each once, in the order of the stations.
    versions: tuple[BriefingVersion, ...]
    # How many lines wait to be told from somebody's of the same name.
    to_settle: int
    rets: list[Ret]
    stones: list[Stone]
    turns: dict[Treading, list[Treader]]
    plots: list[Plot]
    lots: list[LotLine]
    resume_at: datetime | None
    light: Light
    closes_at: datetime
    muster: Muster | None


@dataclass(frozen=True, slots=True)
class FieldBook:
    """What came in from the field at one gathering."""

    gathering: Gathering
    notes: list[FieldNote]
    thunder: list[datetime]
    resume_at: datetime | None
    receipts: list[Receipt]
    apart: list["Apart"]


@dataclass(frozen=True, slots=True)
class Apart:
    """A line written in by name, and those whose name it bears too."""

    receipt: Receipt
    namesakes: list["Namesake"]


@dataclass(frozen=True, slots=True)
class Namesake:
    """Somebody of the same name, and when they came tonight, if they did."""

    volunteer: Volunteer
    arrived_at: datetime | None


@dataclass(frozen=True, slots=True)
class StopPage:
    """When to stop tonight: by the sky, by the light, or at once."""

    gathering: Gathering
    light: Light
    now: datetime
    thunder: list[datetime]
    resume_at: datetime | None
    muster: Muster | None

    @property
    def is_held(self) -> bool:
        """Whether the wait after thunder is still going on."""
        return self.resume_at is not None and self.resume_at > self.now

    @property
    def hold_minutes(self) -> int:
        return _minutes(self.now, self.resume_at) or 0

    @property
    def stop_minutes(self) -> int | None:
        """How long there is light to work by; None where it never goes."""
        return _minutes(self.now, self.light.stop)

    @property
    def sunset_minutes(self) -> int | None:
        """How long machines and the work at the water may go on."""
        return _minutes(self.now, self.light.sunset)

    @property
    def light_left(self) -> str:
        return _span(self.stop_minutes)

    @property
    def machines_left(self) -> str:
        return _span(self.sunset_minutes)


def _span(minutes: int | None) -> str:
    hours, rest = divmod(minutes or 0, 60)
    if not hours:
        return _("%d min") % rest
    return _("%(hours)d h %(minutes)d min") % {"hours": hours, "minutes": rest}


def stop_page(gathering: Gathering, now: datetime) -> StopPage:
    """Return when to stop tonight: two queries."""
    thunder = Thunder.objects.moments(gathering)
    return StopPage(
        gathering=gathering,
        light=light_of(gathering),
        now=now,
        thunder=thunder,
        resume_at=thunder_hold(thunder),
        muster=gathering.musters.open().first(),
    )


def _minutes(now: datetime, moment: datetime | None) -> int | None:
    """Return whole minutes still to go, rounded up while waiting; never below 0."""
    if moment is None:
        return None
    return max(0, math.ceil((moment - now) / timedelta(minutes=1)))


def field_state(gathering: Gathering, now: datetime) -> FieldState:
    """Return tonight's names and how things stand: twenty-six queries at most."""
    muster = gathering.musters.open().first()
    books = _books_of(gathering, muster)
    people = _tonight(gathering, books.people)
    tonight = tonights_stations(gathering, people)
    versions = {one.version.pk: one.version for one in tonight.offers if one.version}
    rets = Ret.objects.of(gathering.demonstration).going().newest_first()
    return FieldState(
        gathering=gathering,
        people=[books.of(one, tonight.people[one.pk], now) for one in people],
        offers=tonight.offers,
        versions=tuple(versions.values()),
        to_settle=len(names_apart(gathering)),
        rets=list(rets.select_related("dam")),
        stones=list(Stone.objects.of(gathering.demonstration).heaviest_first())[::-1],
        turns=turns_to_write(gathering.demonstration, now),
        plots=list(Plot.objects.of(gathering.demonstration).in_order()),
        lots=lots_to_carry(gathering.demonstration),
        resume_at=thunder_hold(Thunder.objects.moments(gathering)),
        light=light_of(gathering),
        closes_at=gathering.ends_at + CLOSES,
        muster=muster,
    )


@dataclass(frozen=True, slots=True)
class _Books:
    """What is written down of tonight's people, by their keys."""

    turnout: dict[int, Turnout]
    beets: dict[int, int]
    written_in: dict[int | None, str]
    safe: set[int]
    awaited: set[int]

    @property
    def people(self) -> list[int]:
        return [*self.turnout, *self.beets, *self.safe, *self.awaited]

    def of(self, person: Volunteer, stations: PersonStations, now: datetime) -> Person:
        """Return how somebody stands in the books."""
        row = self.turnout.get(person.pk)
        return Person(
            volunteer=person,
            arrived_at=row.arrived_at if row else None,
            left_at=row.left_at if row else None,
            here=row is not None and row.is_here_at(now),
            beets=self.beets.get(person.pk, 0),
            walk_in=self.written_in.get(person.pk, ""),
            awaited=person.pk in self.awaited,
            safe=person.pk in self.safe,
            stations=stations,
        )


def _books_of(gathering: Gathering, muster: Muster | None) -> _Books:
    entries = gathering.entries.all().summed_by("volunteer")
    walk_ins = gathering.receipts.all().walk_ins()
    return _Books(
        turnout={row.volunteer_id: row for row in gathering.turnout.all()},
        beets={row.key: row.beets for row in entries},
        written_in={row.volunteer_id: str(row.key) for row in walk_ins},
        safe=_people_in(muster.safe.all()) if muster else set(),
        awaited=_people_in(muster.awaited.all()) if muster else set(),
    )


def _people_in(rows: SafeQuerySet | AwaitedQuerySet) -> set[int]:
    return set(rows.values_list("volunteer", flat=True))


def field_book(gathering: Gathering, receipts: int = 200) -> FieldBook:
    """Return what came in from the field, the newest receipts first.

    Four queries, and two more where names are to be told apart.
    """
    thunder = Thunder.objects.moments(gathering)
    return FieldBook(
        gathering=gathering,
        notes=list(gathering.notes.all().for_book()),
        thunder=thunder,
        resume_at=thunder_hold(thunder),
        receipts=list(gathering.receipts.all().for_book()[:receipts]),
        apart=names_apart(gathering),
    )


def names_apart(gathering: Gathering) -> list[Apart]:
    """Return the lines to be told from somebody's of the same name, oldest first."""
    rows = gathering.receipts.all().to_settle().select_related("volunteer__guardian")
    receipts = list(rows)
    if not receipts:
        return []
    people = by_folded_name(gathering.demonstration)
    came = dict(gathering.turnout.values_list("volunteer_id", "arrived_at"))
    apart = [
        Apart(row, _others(row.volunteer, people, came))
        for row in receipts
        if row.volunteer
    ]
    return [one for one in apart if one.namesakes]


def evenings_to_settle(demonstration: Demonstration) -> list[Gathering]:
    """Return the gatherings with names to be told apart: one query, two if any."""
    rows = Receipt.objects.of(demonstration).to_settle()
    receipts = list(rows.select_related("gathering__demonstration", "volunteer"))
    people = by_folded_name(demonstration) if receipts else {}
    evenings = {
        row.gathering: None
        for row in receipts
        if row.volunteer and _others(row.volunteer, people, {})
    }
    return list(evenings)


def _others(
    person: Volunteer,
    people: dict[str, list[Volunteer]],
    came: dict[int, datetime],
) -> list[Namesake]:
    return [
        Namesake(other, came.get(other.pk))
        for other in people.get(folded(person.name), [])
        if other.pk != person.pk
    ]


def _tonight(gathering: Gathering, in_the_books: list[int]) -> list[Volunteer]:
    """Return those expected, those who came and those credited, by name."""
    expected = gathering.sign_ups.expected().values("volunteer")
    rows = Volunteer.objects.of(gathering.demonstration)
    tonight = Q(pk__in=in_the_books) | Q(pk__in=expected)
    return list(rows.filter(tonight).by_name())
