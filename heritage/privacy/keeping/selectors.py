"""How long each class of rows is kept: the rules as data, and what is due by them.

`RULES` says it to readers and to ``manage.py tidy``, which reports unless told to
carry out. Each class goes whole or not at all, what is held says why, and what was
deleted is logged.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import reduce
from operator import or_

from django.db.models import Exists, Model, Q, QuerySet
from django.utils.translation import gettext_lazy as _

from heritage.briefings.models import Acknowledgement
from heritage.common.privacy import Words
from heritage.dam.models import Treader
from heritage.fieldlog.models import Receipt
from heritage.gatherings.models import (
    Awaited,
    Safe,
    SignUp,
    SignUpStatus,
    Turnout,
    Weighing,
)
from heritage.incidents.models import Incident, LostChild
from heritage.people.models import (
    AccountLetter,
    Agreement,
    HealthNote,
    Invitation,
    Letter,
    LetterState,
    Volunteer,
)
from heritage.privacy.models import Complaint, Tidying
from heritage.season.models import Demonstration

Rows = QuerySet[Model]
Due = Callable[[Demonstration, datetime], list[Rows]]
Hold = tuple[Rows, str]
Holds = Callable[[Demonstration, datetime], list[Hold]]

OURS = _("our own rule")
MONTH = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Rule:
    """How long one class is kept, from when, and why; a class may never be due."""

    key: str
    what: Words
    how_long: Words
    since: Words
    basis: Words
    source: Words = OURS
    due: Due | None = None
    held: Holds | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """Rows that would be due but for a reason."""

    rows: int
    why: str


@dataclass(frozen=True, slots=True)
class RuleLine:
    """What one rule comes to today."""

    rule: Rule
    due: int
    held: tuple[Held, ...]


@dataclass(frozen=True, slots=True)
class DueReport:
    """What is due to be deleted, class by class, and what was done before."""

    lines: tuple[RuleLine, ...]
    before: tuple[Tidying, ...]

    @property
    def total(self) -> int:
        return sum(line.due for line in self.lines)


def years_before(now: datetime, years: int) -> datetime:
    """Return the same day so many years before; of 29 February the 28th."""
    try:
        return now.replace(year=now.year - years)
    except ValueError:
        return now.replace(year=now.year - years, day=28)


def _claims(demonstration: Demonstration) -> QuerySet[Volunteer]:
    """Keep whoever an incident that is held for a claim is about."""
    claimed = Incident.objects.of(demonstration).exclude(held_for="")
    return Volunteer.objects.filter(pk__in=claimed.values("volunteer"))


def _attended(home: Demonstration, now: datetime) -> list[Rows]:
    ended = years_before(now, 3)
    over = {"gathering__ends_at__lt": ended}
    held = SignUp.objects.of(home).held().filter(answer_by__isnull=True)
    return [
        Turnout.objects.of(home).filter(**over),
        held.filter(**over),
        Awaited.objects.of(home).filter(muster__gathering__ends_at__lt=ended),
        Safe.objects.of(home).filter(muster__gathering__ends_at__lt=ended),
        Weighing.objects.of(home).filter(weighed_at__lt=ended),
        Treader.objects.of(home).who_came().filter(turn__at__lt=ended),
    ]


def _heard(home: Demonstration, now: datetime) -> list[Rows]:
    rows = Acknowledgement.objects.of(home)
    return [rows.filter(heard_at__lt=years_before(now, 3))]


def _unclaimed(find: Due) -> Due:
    def due(home: Demonstration, now: datetime) -> list[Rows]:
        return [rows.exclude(volunteer__in=_claims(home)) for rows in find(home, now)]

    return due


def _claimed(find: Due) -> Holds:
    why = str(_("An incident of theirs is held because of a claim."))

    def held(home: Demonstration, now: datetime) -> list[Hold]:
        rows = find(home, now)
        return [(found.filter(volunteer__in=_claims(home)), why) for found in rows]

    return held


def _places(home: Demonstration, now: datetime) -> list[Rows]:
    """Keep what never became attendance: waiting, given up, not come, unanswered."""
    loose = [SignUpStatus.WAITING, SignUpStatus.GIVEN_UP, SignUpStatus.NOT_COME]
    never = Q(status__in=loose) | Q(answer_by__isnull=False)
    return [
        SignUp.objects.of(home).filter(never, gathering__ends_at__lt=now - MONTH),
        Treader.objects.of(home).untrodden().filter(turn__at__lt=now - MONTH),
    ]


def _day(home: Demonstration, now: datetime) -> date:
    return now.astimezone(home.zone).date()


def _notes(home: Demonstration, now: datetime) -> list[Rows]:
    return [HealthNote.objects.of(home).due(_day(home, now))]


def _incidents(home: Demonstration, now: datetime) -> list[Rows]:
    rows = Incident.objects.of(home).due(_day(home, now))
    return [rows.filter(completed_at__isnull=False)]


def _incidents_held(home: Demonstration, now: datetime) -> list[Hold]:
    past = Incident.objects.of(home).filter(keep_until__lt=_day(home, now))
    return [
        (past.exclude(held_for=""), str(_("Held because of a claim."))),
        (
            past.filter(held_for="", completed_at__isnull=True),
            str(_("Not completed: nobody has said yet what came of it.")),
        ),
    ]


def _children(home: Demonstration, now: datetime) -> list[Rows]:
    return [LostChild.objects.of(home).due(_day(home, now))]


def _children_held(home: Demonstration, now: datetime) -> list[Hold]:
    past = LostChild.objects.of(home).open().filter(delete_on__lte=_day(home, now))
    return [(past, str(_("Not ended: say first how it ended.")))]


def _letters(home: Demonstration, now: datetime) -> list[Rows]:
    return [_old_letters(home, now).exclude(state__in=_ON_THEIR_WAY)]


def _letters_held(home: Demonstration, now: datetime) -> list[Hold]:
    waiting = _old_letters(home, now).filter(state__in=_ON_THEIR_WAY)
    return [(waiting, str(_("Still on its way: look after it first.")))]


_ON_THEIR_WAY = [LetterState.QUEUED, LetterState.SENDING]


def _old_letters(home: Demonstration, now: datetime) -> QuerySet[Letter]:
    return Letter.objects.of(home).filter(queued_at__lt=years_before(now, 1))


def _slips(home: Demonstration, now: datetime) -> list[Rows]:
    rows = Receipt.objects.of(home)
    return [rows.filter(received_at__lt=years_before(now, 1))]


def _invitations(home: Demonstration, now: datetime) -> list[Rows]:
    return [Invitation.objects.of(home).ended_before(now - MONTH)]


def _account_letters(home: Demonstration, now: datetime) -> list[Rows]:
    rows = AccountLetter.objects.to_members_of(home)
    return [rows.written_before(now - MONTH)]


def _agreements(home: Demonstration, now: datetime) -> list[Rows]:
    rows = Agreement.objects.of(home)
    return [rows.filter(withdrawn_at__lt=years_before(now, 3))]


def _complaints(home: Demonstration, now: datetime) -> list[Rows]:
    return [Complaint.objects.of(home).closed_before(years_before(now, 3))]


def _complaints_held(home: Demonstration, now: datetime) -> list[Hold]:
    old = Complaint.objects.of(home).open().filter(made_at__lt=years_before(now, 3))
    return [(old, str(_("Not ended: say first what came of it.")))]


RULES = (
    Rule(
        "details",
        _("Your name and how to reach you"),
        _("as long as you are on the list"),
        _("and after that until you ask to be erased"),
        _("To run the evenings you sign up for."),
    ),
    Rule(
        "places",
        _("Places waited for, given up or never answered, and turns not trodden"),
        _("30 days"),
        _("after the gathering or the turn"),
        _("Of no use once it is over."),
        due=_places,
    ),
    Rule(
        "attendance",
        _("Who came or trod and when, head-counts, decisions on the work of the young"),
        _("3 years"),
        _("after the gathering"),
        _("So that a claim can be answered."),
        due=_unclaimed(_attended),
        held=_claimed(_attended),
    ),
    Rule(
        "briefings",
        _("Which briefings you heard"),
        _("3 years"),
        _("after you heard them"),
        _("Proof that you were told what can hurt."),
        due=_unclaimed(_heard),
        held=_claimed(_heard),
    ),
    Rule(
        "health",
        _("A note on your health"),
        _("14 days"),
        _("after the last gathering you signed up for"),
        _("Only because you gave it, for the first-aider of the day."),
        due=_notes,
    ),
    Rule(
        "incidents",
        _("Incidents"),
        _("3 years at least; of a child, until they are 21 (to be confirmed)"),
        _("after the incident, and longer while a claim is open"),
        _("The law asks for a record, and a claim must be answered."),
        _("3 years: published guidance of Northern Ireland. 21: from memory"),
        due=_incidents,
        held=_incidents_held,
    ),
    Rule(
        "lost_child",
        _("The log of a lost or found child"),
        _("1 year"),
        _("after it was opened"),
        _("To look back on what was done. Only organisers read it."),
        due=_children,
        held=_children_held,
    ),
    Rule(
        "letters",
        _("Letters to you"),
        _("12 months"),
        _("after they were written"),
        _("To show that you were told."),
        due=_letters,
        held=_letters_held,
    ),
    Rule(
        "slips",
        _("What the field page sent"),
        _("12 months"),
        _("after it came"),
        _("So that nothing sent from the field counts twice, and to see who wrote it."),
        due=_slips,
    ),
    Rule(
        "invitations",
        _("Invitations"),
        _("30 days"),
        _("after they were taken up or withdrawn, or ran out"),
        _("To see who was let in, and by whom; then the address is of no use."),
        due=_invitations,
    ),
    Rule(
        "account_letters",
        _("Letters about your account"),
        _("30 days"),
        _("after they were written; their words go as soon as they are sent"),
        _("To see why somebody cannot sign in."),
        due=_account_letters,
    ),
    Rule(
        "agreements",
        _("Agreements that were taken back"),
        _("3 years"),
        _("after they were taken back; those that stand are kept"),
        _("To show that you agreed, and that you were heard when you did not."),
        due=_agreements,
    ),
    Rule(
        "complaints",
        _("Complaints"),
        _("3 years"),
        _("after they ended"),
        _("To show that they were answered."),
        due=_complaints,
        held=_complaints_held,
    ),
    Rule(
        "signing_in",
        _("That you are signed in on a device"),
        _("30 days"),
        _("after you last signed in there, or until you sign out"),
        _("So that you need not sign in each time."),
    ),
    Rule(
        "book",
        _("The tally book"),
        _("for good"),
        _("it is the record of the crop"),
        _("If you are erased, its lines stay under nobody's name."),
    ),
    Rule(
        "pictures",
        _("Pictures"),
        _("for good, as a record, unless deleted"),
        _("and shown to visitors only while everybody in them agrees"),
        _("To remember the work. Take your agreement back and they come down at once."),
    ),
)
BY_KEY = {rule.key: rule for rule in RULES}


def due_report(demonstration: Demonstration, now: datetime) -> DueReport:
    """Count what is due and what is held: a fixed number of queries."""
    return DueReport(
        lines=tuple(_line(rule, demonstration, now) for rule in RULES if rule.due),
        before=tuple(Tidying.objects.of(demonstration).newest_first()[:20]),
    )


def is_anything_due(demonstration: Demonstration, now: datetime) -> bool:
    """Tell whether any class has something to delete: one query."""
    found = [
        Q(Exists(rows)) for rule in RULES for rows in due_rows(rule, demonstration, now)
    ]
    here = Demonstration.objects.filter(pk=demonstration.pk)
    return here.filter(reduce(or_, found)).exists()


def due_rows(rule: Rule, demonstration: Demonstration, now: datetime) -> list[Rows]:
    """Return the rows that one rule deletes now, in their order."""
    return rule.due(demonstration, now) if rule.due else []


def _line(rule: Rule, home: Demonstration, now: datetime) -> RuleLine:
    due = sum(rows.count() for rows in due_rows(rule, home, now))
    return RuleLine(rule, due, tuple(_held(rule, home, now)))


def _held(rule: Rule, home: Demonstration, now: datetime) -> Iterator[Held]:
    found: dict[str, int] = {}
    for rows, why in rule.held(home, now) if rule.held else ():
        found[why] = found.get(why, 0) + rows.count()
    return (Held(rows, why) for why, rows in found.items() if rows)
