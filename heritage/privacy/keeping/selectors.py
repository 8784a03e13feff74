"""How long each class of rows is kept: the rules as data, and what is due by them.

`RULES` says it to readers and to ``manage.py tidy``, which reports unless told to
carry out; which rows go by a rule, their models say (`Kept`). Each class goes whole or
not at all, what is held says why, and what was deleted is logged.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import reduce
from operator import or_

from django.db.models import Exists, Model, Q, QuerySet
from django.utils.translation import gettext_lazy as _

from heritage.common.privacy import Kept, Words
from heritage.incidents.models import Incident
from heritage.people.models import AccountLetter, Volunteer
from heritage.privacy.models import Tidying
from heritage.privacy.selectors import declared, home_path
from heritage.season.models import Demonstration

Rows = QuerySet[Model]

OURS = _("our own rule")
MONTH = timedelta(days=30)
CLAIMED = _("One of their incidents is kept for a claim.")


@dataclass(frozen=True, slots=True)
class Rule:
    """How long one class is kept, from when, and why.

    Rows are due whose moment lies ``years`` or ``days`` back or, with neither, whose
    own day has come; which those are, their model says (`Kept`).
    """

    key: str
    what: Words
    how_long: Words
    since: Words
    basis: Words
    source: Words = OURS
    years: int = 0
    days: int = 0
    unless_claimed: bool = False

    @property
    def is_ever_due(self) -> bool:
        return any(kept.rule == self.key for _model, kept in _kept())

    def moment(self, demonstration: Demonstration, now: datetime) -> date:
        """Return what the rows that are due lie before: a moment, or today."""
        if self.years or self.days:
            return years_before(now, self.years) - timedelta(days=self.days)
        return now.astimezone(demonstration.zone).date()


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
    """Keep the people whom an incident that is held for a claim is about."""
    claimed = Incident.objects.of(demonstration).exclude(held_for="")
    return Volunteer.objects.filter(pk__in=claimed.values("volunteer"))


RULES = (
    Rule(
        "details",
        _("Your name and how to reach you"),
        _("as long as you are on the list"),
        _("and after that until you ask us to delete it"),
        _("To run the evenings you sign up for."),
    ),
    Rule(
        "places",
        _("Places you didn't take up, and treading turns you missed"),
        _("30 days"),
        _("after the gathering or the turn"),
        _("No use once it's over."),
        days=30,
    ),
    Rule(
        "attendance",
        _(
            "Who came or trod and when, head-counts, "
            "decisions about young people's work"
        ),
        _("3 years"),
        _("after the gathering"),
        _("So that a claim can be answered."),
        years=3,
        unless_claimed=True,
    ),
    Rule(
        "briefings",
        _("Which briefings you heard"),
        _("3 years"),
        _("after you heard them"),
        _("Proof that you were told what can hurt you."),
        years=3,
        unless_claimed=True,
    ),
    Rule(
        "health",
        _("A note on your health"),
        _("14 days"),
        _(
            "after the last gathering you signed up for; if there is none, 30 days "
            "after the season ends"
        ),
        _("You gave it for the first-aider of the day."),
    ),
    Rule(
        "incidents",
        _("Incidents"),
        _("3 years at least; if a child was hurt, until they are 21"),
        _("after the incident, and longer while a claim is open"),
        _("The law asks for a record, and a claim must be answered."),
        _("3 years: published guidance of Northern Ireland. Until 21: our own rule"),
    ),
    Rule(
        "lost_child",
        _("The log of a lost or found child"),
        _("1 year"),
        _("after it ended"),
        _(
            "To check what was done. Organisers read it, and a lead around their "
            "gathering."
        ),
    ),
    Rule(
        "letters",
        _("E-mails to you"),
        _("12 months"),
        _("after they were written"),
        _("To show that you were told."),
        years=1,
    ),
    Rule(
        "slips",
        _("What was sent from the field"),
        _("12 months"),
        _("after it came"),
        _("So that nothing sent from the field counts twice, and to see who wrote it."),
        years=1,
    ),
    Rule(
        "invitations",
        _("Invitations"),
        _("30 days"),
        _("after they were taken up or withdrawn, or ran out"),
        _("To see who invited you."),
        days=30,
    ),
    Rule(
        "account_letters",
        _("E-mails about your account"),
        _("30 days"),
        _("after they were written; the text goes as soon as they are sent"),
        _("To see why somebody can't sign in."),
        days=30,
    ),
    Rule(
        "agreements",
        _("Agreements you took back"),
        _("3 years"),
        _("after you took them back; we keep those you still give"),
        _("To show that you agreed, and when you no longer did."),
        years=3,
    ),
    Rule(
        "complaints",
        _("Complaints"),
        _("3 years"),
        _("after they ended"),
        _("To show that they were answered."),
        years=3,
    ),
    Rule(
        "signing_in",
        _("That you are signed in on a device"),
        _("30 days"),
        _("after you last signed in there, or until you sign out"),
        _("So that you don't sign in each time."),
    ),
    Rule(
        "book",
        _("The tally book"),
        _("for good"),
        _("as the record of the crop"),
        _("If you ask us to delete your data, the tally stays, without your name."),
    ),
    Rule(
        "printed",
        _("Statements and thank-yous printed for everybody at once"),
        _("1 day"),
        _("after an organiser asked for them; the file goes in the night after"),
        _("So that the organiser can open it again."),
    ),
    Rule(
        "pictures",
        _("Pictures"),
        _("for good, as a record, unless deleted"),
        _("(visitors see them only while everybody in them agrees)"),
        _("To remember the work. Take your agreement back and they're gone at once."),
    ),
)
BY_KEY = {rule.key: rule for rule in RULES}


def _kept() -> Iterator[tuple[type[Model], Kept]]:
    """Go through what the models say of the rules by which their rows go."""
    for model, holds in declared():
        for kept in holds.rules:
            yield model, kept


def due_report(demonstration: Demonstration, now: datetime) -> DueReport:
    """Count what is due and what is held: a fixed number of queries."""
    rules = [rule for rule in RULES if rule.is_ever_due]
    return DueReport(
        lines=tuple(_line(rule, demonstration, now) for rule in rules),
        before=tuple(Tidying.objects.of(demonstration).newest_first()[:20]),
    )


def is_anything_due(demonstration: Demonstration, now: datetime) -> bool:
    """Tell whether any class has something to delete: one query."""
    conditions = [
        Q(Exists(rows)) for rule in RULES for rows in due_rows(rule, demonstration, now)
    ]
    here = Demonstration.objects.filter(pk=demonstration.pk)
    return here.filter(reduce(or_, conditions)).exists()


def due_rows(rule: Rule, demonstration: Demonstration, now: datetime) -> list[Rows]:
    """Return the rows that one rule deletes now, model by model."""
    return [rows for rows, why in _past(rule, demonstration, now) if not why]


def _past(rule: Rule, home: Demonstration, now: datetime) -> Iterator[tuple[Rows, str]]:
    """Go through the rows whose time is over, and why some are held back."""
    for model, kept in _kept():
        if kept.rule == rule.key:
            over = _before(kept.due, _at(home, model), rule.moment(home, now))
            over = over.filter(kept.only)
            if rule.unless_claimed:
                yield over.filter(volunteer__in=_claims(home)), str(CLAIMED)
                over = over.exclude(volunteer__in=_claims(home))
            yield over, str(kept.why)


def _at(home: Demonstration, model: type[Model]) -> Rows:
    """Keep the rows of one demonstration; an account's are those of its members."""
    if model is AccountLetter:
        return AccountLetter.objects.to_members_of(home)
    return model._default_manager.filter(**{str(home_path(model)): home.pk})


def _before(due: str | Callable[[Rows, date], Rows], rows: Rows, moment: date) -> Rows:
    return rows.filter(**{due: moment}) if isinstance(due, str) else due(rows, moment)


def _line(rule: Rule, home: Demonstration, now: datetime) -> RuleLine:
    due = sum(rows.count() for rows in due_rows(rule, home, now))
    return RuleLine(rule, due, tuple(_held(rule, home, now)))


def _held(rule: Rule, home: Demonstration, now: datetime) -> Iterator[Held]:
    counts: dict[str, int] = {}
    for rows, why in _past(rule, home, now):
        if why:
            counts[why] = counts.get(why, 0) + rows.count()
    return (Held(rows, why) for why, rows in counts.items() if rows)
