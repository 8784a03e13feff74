"""What goes and what stays when somebody is erased, each with its reason."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import Q, QuerySet
from django.utils.translation import gettext as _

from heritage.dam.models import Treader
from heritage.fieldlog.models import Receipt
from heritage.gatherings.models import Awaited, Gathering, Safe, SignUp
from heritage.people.models import Letter, LetterQuerySet, Volunteer
from heritage.privacy.models import Erasure
from heritage.season.models import Demonstration
from heritage.tally.models import Entry, OwnLog, Work


@dataclass(frozen=True, slots=True)
class Kept:
    """Something that stays, how many rows of it, and why."""

    what: str
    rows: int
    why: str


@dataclass(frozen=True, slots=True)
class Erasing:
    """What the erasing of one person would do, and what stands in its way."""

    volunteer: Volunteer
    goes: tuple[tuple[str, int], ...]
    stays: tuple[Kept, ...]
    hindered: tuple[str, ...]
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
    return Erasing(
        volunteer=volunteer,
        goes=tuple(pair for pair in _goes(volunteer, now) if pair[1]),
        stays=tuple(kept for kept in _stays(volunteer, now) if kept.rows),
        hindered=tuple(hindrances(volunteer, now)),
        asked=Erasure.objects.open().about(volunteer).first(),
    )


def everybody_of(volunteer: Volunteer) -> list[int]:
    """Return the keys of a line and of those merged into it."""
    return [volunteer.pk, *volunteer.merged_from.values_list("pk", flat=True)]


def letters_of(volunteer: Volunteer) -> LetterQuerySet:
    """Keep the letters to somebody, and those of nobody to their address."""
    about = Q(volunteer__in=everybody_of(volunteer))
    if volunteer.email:
        about |= Q(volunteer__isnull=True, address__iexact=volunteer.email)
    return Letter.objects.of(volunteer.demonstration).filter(about)


def places_to_come(volunteer: Volunteer, now: datetime) -> QuerySet[SignUp]:
    """Keep the places and turns at gatherings that are not over."""
    rows = SignUp.objects.live().by(volunteer).filter(gathering__ends_at__gt=now)
    return rows.select_related("gathering").order_by("pk")


def hindrances(volunteer: Volunteer, now: datetime) -> Iterator[str]:
    """Say what must be settled first."""
    for child in volunteer.children.active().by_name():
        yield _(
            "%(who)s answers for %(child)s, who stays. Choose another guardian."
        ) % {
            "who": volunteer,
            "child": child,
        }
    if volunteer.is_organiser and not _other_organisers(volunteer):
        yield _("%s is the only organiser. Make somebody else one first.") % volunteer
    ahead = Gathering.objects.of(volunteer.demonstration).going_ahead().upcoming(now)
    for gathering in ahead.filter(Q(lead=volunteer) | Q(first_aider=volunteer)):
        yield _("%(who)s leads or gives first aid at %(what)s. Choose another.") % {
            "who": volunteer,
            "what": gathering,
        }


def _other_organisers(volunteer: Volunteer) -> bool:
    others = Volunteer.objects.of(volunteer.demonstration).active().organisers()
    return others.able_to_sign_in().exclude(pk=volunteer.pk).exists()


def _goes(volunteer: Volunteer, now: datetime) -> Iterator[tuple[str, int]]:
    keys = everybody_of(volunteer)
    person = {"volunteer__in": keys}
    yield _("name, e-mail address and telephone"), 1
    yield _("date of birth"), int(volunteer.born_on is not None)
    yield _("whom to call in an emergency"), int(bool(volunteer.emergency_name))
    yield _("health note"), int(hasattr(volunteer, "health_note"))
    yield _("agreements"), volunteer.agreements.count()
    yield _("what they can do"), volunteer.skills.count()
    yield _("decisions on work they may do"), volunteer.weighings.count()
    yield _("letters"), letters_of(volunteer).count()
    yield _("invitations"), volunteer.invitations.count()
    yield _("marks in pictures"), volunteer.pictures.count()
    yield _("posts as a steward"), volunteer.steward_posts.count()
    yield (
        _("places to come, which go to the next"),
        places_to_come(volunteer, now).count(),
    )
    yield (
        _("turns of treading they did not tread"),
        Treader.objects.filter(**person).untrodden().count(),
    )
    over = SignUp.objects.filter(**person, gathering__ends_at__lte=now)
    yield _("places at gatherings that are over"), over.count()
    yield _("words that the field page sent"), Receipt.objects.filter(**person).count()


def _stays(volunteer: Volunteer, now: datetime) -> Iterator[Kept]:
    people = {"volunteer__in": everybody_of(volunteer)}
    book = (Entry, Work, OwnLog)
    yield Kept(
        _("lines in the tally book"),
        sum(kind._default_manager.filter(**people).count() for kind in book),
        _("The book is never rubbed out: they stay under “somebody who was erased”."),
    )
    yield Kept(
        _("when they came"),
        volunteer.turnout.count(),
        _("The record of who was there is kept 3 years, by our own rule, for claims."),
    )
    yield Kept(
        _("turns of treading they trod"),
        Treader.objects.filter(**people).who_came().count(),
        _("They belong to the record of who was there."),
    )
    yield Kept(
        _("head-counts"),
        sum(kind._default_manager.filter(**people).count() for kind in (Awaited, Safe)),
        _("They belong to the record of who was there."),
    )
    yield Kept(
        _("briefings heard"),
        volunteer.acknowledgements.count(),
        _("Proof that they were told what can hurt is kept 3 years, by our own rule."),
    )
    yield from _incidents(volunteer)
    yield from _account(volunteer)


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
