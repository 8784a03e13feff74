"""What goes and what stays when somebody is erased, each with its reason."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple

from django.db.models import Model, Q, QuerySet
from django.urls import reverse
from django.utils.translation import gettext as _

from heritage.common.privacy import Erased, Stays
from heritage.gatherings.models import Gathering, SignUp
from heritage.people.models import Letter, LetterQuerySet, Volunteer
from heritage.privacy.models import Erasure
from heritage.privacy.selectors import Source, sources
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Kept:
    """Something that stays, how many rows of it, and why."""

    what: str
    rows: int
    why: str


class Hindrance(NamedTuple):
    """Something to settle first, and where an organiser does it."""

    words: str
    url: str


@dataclass(frozen=True, slots=True)
class Erasing:
    """What the erasing of one person would do, and what stands in its way."""

    volunteer: Volunteer
    goes: tuple[tuple[str, int], ...]
    stays: tuple[Kept, ...]
    hindered: tuple[Hindrance, ...]
    asked: Erasure | None


@dataclass(frozen=True, slots=True)
class ErasuresPage:
    """Who asked to be erased, and who has been."""

    open: tuple[Erasure, ...]
    done: tuple[Erasure, ...]


def erasures_page(demonstration: Demonstration) -> ErasuresPage:
    """List the askings, the oldest first, and what was carried out: two queries."""
    rows = Erasure.objects.of(demonstration).for_page()
    return ErasuresPage(tuple(rows.open().reverse()), tuple(rows.done()))


def erasing(volunteer: Volunteer, now: datetime) -> Erasing:
    """Say what would go and stay: a fixed number of queries."""
    keys = everybody_of(volunteer)
    goes = _goes(volunteer, keys, now)
    return Erasing(
        volunteer=volunteer,
        goes=tuple((what, rows) for what, rows in goes.items() if rows),
        stays=tuple(kept for kept in _stays(volunteer, keys, now) if kept.rows),
        hindered=tuple(hindrances(volunteer, now)),
        asked=Erasure.objects.open().about(volunteer).first(),
    )


def everybody_of(volunteer: Volunteer) -> list[int]:
    """Return the keys of a line and of those merged into it."""
    return [volunteer.pk, *volunteer.merged_from.values_list("pk", flat=True)]


def letters_of(volunteer: Volunteer, keys: list[int]) -> LetterQuerySet:
    """Keep the letters to somebody's lines, and those of nobody to their address."""
    about = Q(volunteer__in=keys)
    if volunteer.email:
        about |= Q(volunteer__isnull=True, address__iexact=volunteer.email)
    return Letter.objects.of(volunteer.demonstration).filter(about)


def places_to_come(volunteer: Volunteer, now: datetime) -> QuerySet[SignUp]:
    """Keep the places and turns at gatherings that are not over."""
    rows = SignUp.objects.live().by(volunteer).filter(gathering__ends_at__gt=now)
    return rows.select_related("gathering").order_by("pk")


def hindrances(volunteer: Volunteer, now: datetime) -> Iterator[Hindrance]:
    """Say what must be settled first, and where."""
    slug = volunteer.demonstration.slug
    for child in volunteer.children.active().by_name():
        words = _("%(who)s answers for %(child)s, who stays. Choose another guardian.")
        words %= {"who": volunteer, "child": child}
        yield Hindrance(words, reverse("people:edit", args=[slug, child.pk]))
    if volunteer.is_organiser and not _other_organisers(volunteer):
        words = _("%s is the only organiser. Make somebody else one first.")
        yield Hindrance(words % volunteer, reverse("people:list", args=[slug]))
    ahead = Gathering.objects.of(volunteer.demonstration).going_ahead().upcoming(now)
    for gathering in ahead.filter(Q(lead=volunteer) | Q(first_aider=volunteer)):
        words = _("%(who)s leads or gives first aid at %(what)s. Choose another.")
        words %= {"who": volunteer, "what": gathering}
        yield Hindrance(words, reverse("gatherings:edit", args=[slug, gathering.pk]))


def _other_organisers(volunteer: Volunteer) -> bool:
    others = Volunteer.objects.of(volunteer.demonstration).active().organisers()
    return others.able_to_sign_in().exclude(pk=volunteer.pk).exists()


def _goes(volunteer: Volunteer, keys: list[int], now: datetime) -> Counter[str]:
    """Count what goes: of the person's own line, and of every kind of row."""
    counts = Counter[str]()
    counts[_("name, e-mail address and telephone")] = 1
    counts[_("date of birth")] = int(volunteer.born_on is not None)
    counts[_("emergency contact")] = int(bool(volunteer.emergency_name))
    for source, erased in of_lines():
        if not isinstance(erased, Stays):
            words = str(erased.what or source.called)
            counts[words] += rows_of(source, erased, volunteer, keys, now).count()
    return counts


def _stays(volunteer: Volunteer, keys: list[int], now: datetime) -> Iterator[Kept]:
    counts: dict[tuple[str, str], int] = {}
    for source, erased in of_lines():
        if isinstance(erased, Stays) and erased.why:
            key = str(erased.what or source.called), str(erased.why)
            rows = rows_of(source, erased, volunteer, keys, now)
            counts[key] = counts.get(key, 0) + rows.count()
    yield from (Kept(what, rows, why) for (what, why), rows in counts.items())
    yield from _incidents(volunteer)
    yield from _account(volunteer)


def of_lines() -> Iterator[tuple[Source, Erased]]:
    """Go through the kinds of rows about a line, and what an erasing does with them."""
    for source in sources():
        if source.model is not Volunteer and not source.is_of_account:
            yield from ((source, erased) for erased in source.erased)


def rows_of(
    source: Source,
    erased: Erased,
    volunteer: Volunteer,
    keys: list[int],
    now: datetime,
) -> QuerySet[Model]:
    """Keep the rows of one kind of which one thing is said."""
    if source.model is Letter:
        return letters_of(volunteer, keys)
    rows = source.model._default_manager.filter(**{f"{source.path}__in": keys})
    chosen: QuerySet[Model] = erased.which(rows, now) if erased.which else rows
    return chosen


def _incidents(volunteer: Volunteer) -> Iterator[Kept]:
    for incident in volunteer.incidents.order_by("pk"):
        why = _("Published guidance keeps incidents 3 years at least; this one to %s.")
        why %= f"{incident.keep_until:%d %B %Y}"
        if incident.held_for:
            why = _("Held because of a claim: %s") % incident.held_for
        yield Kept(str(incident), 1, why)


def _account(volunteer: Volunteer) -> Iterator[Kept]:
    """Say whether the account is needed elsewhere."""
    if volunteer.user and has_other_lines(volunteer):
        yield Kept(
            _("the account"),
            1,
            _("It is used at another demonstration, and is theirs to close there."),
        )


def has_other_lines(volunteer: Volunteer) -> bool:
    """Tell whether the account belongs to a line that is not erased elsewhere."""
    if volunteer.user is None:
        return False
    rows = volunteer.user.volunteers.exclude(pk=volunteer.pk)
    return volunteer.user.is_staff or rows.filter(erased_at__isnull=True).exists()
