"""What is asked of the site, what stands still, and what went wrong."""

from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.briefings.hazards.selectors import overdue_hazards
from heritage.common.models import Chore, LastRun
from heritage.desk.selectors import Hour, Subject, Todo, dated
from heritage.fieldlog.selectors import evenings_to_settle
from heritage.gatherings.letters.selectors import waits_for_round
from heritage.incidents.selectors import open_matters
from heritage.people.competences.selectors import claims_waiting
from heritage.people.letters.selectors import to_look_at
from heritage.pictures.models import Picture
from heritage.privacy.complaining.selectors import asked_of_us
from heritage.privacy.keeping.selectors import is_anything_due
from heritage.season.models import Demonstration

# House rules: deleting is called each night, tending every few minutes.
TIDY_WITHIN = timedelta(days=2)
TEND_WITHIN = timedelta(hours=1)


def of_the_rest(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Ask for what hangs on no evening and no dam."""
    yield from _of_names(demonstration)
    yield from _of_safety(demonstration, now)
    yield from _of_incidents(demonstration)
    yield from _of_letters(demonstration, now)
    yield from of_asked(demonstration, now)
    yield from of_upkeep(demonstration, now)
    yield from _of_claims(demonstration)
    yield from _of_pictures(demonstration)


def of_asked(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Ask for an answer to complaints and to who would be erased: two queries."""
    asked, slug = asked_of_us(demonstration, now), demonstration.slug
    if asked.days_left is not None:
        yield Todo(
            Subject.RECORDS,
            _("Acknowledge the complaint"),
            _("The days for it are past.")
            if asked.days_left < 0
            else ngettext("%d day is left.", "%d days are left.", asked.days_left)
            % asked.days_left,
            reverse("privacy:complaints", args=[slug]),
            is_due=True,
            act=_("Acknowledge it"),
        )
    if asked.erasures:
        words = ngettext(
            "%d person is waiting for an answer. They get one within a month.",
            "%d people are waiting for an answer. They get one within a month.",
            asked.erasures,
        )
        yield Todo(
            Subject.RECORDS,
            _("Answer requests for deletion"),
            words % asked.erasures,
            reverse("privacy:erasures", args=[slug]),
            is_due=True,
            act=_("Answer"),
        )


def of_upkeep(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Say which of the site's own work stands still while something waits for it.

    One query while all is well, and a fixed number more for what stands still.
    """
    runs = LastRun.objects.by_chore()
    yield from _of_tidy(demonstration, runs.get(Chore.TIDY), now)
    yield from _of_tend(demonstration, runs.get(Chore.TEND), now)


def _of_tidy(
    demonstration: Demonstration, run: LastRun | None, now: datetime
) -> Iterator[Todo]:
    if run and now - run.at <= TIDY_WITHIN:
        return
    if is_anything_due(demonstration, now):
        yield Todo(
            Subject.RECORDS,
            _("What is due to be deleted is still here"),
            _(
                "%s Look at it and delete it here, and ask the person who keeps the "
                "site to have “manage.py tidy --carry-out” run each night."
            )
            % _since(_("The nightly deleting"), run, demonstration),
            reverse("privacy:due", args=[demonstration.slug]),
            is_due=True,
            act=_("See what is due"),
        )


def _of_tend(
    demonstration: Demonstration, run: LastRun | None, now: datetime
) -> Iterator[Todo]:
    letters = reverse("people:letters", args=[demonstration.slug])
    if run and now - run.at <= TEND_WITHIN:
        if run.trouble:
            yield Todo(
                Subject.RECORDS,
                _("Part of the site's own work is failing"),
                _("%s The reason is in the site's log.") % run.trouble,
                letters,
                is_due=True,
            )
        return
    waiting = waits_for_round(demonstration, now)
    if waiting:
        yield Todo(
            Subject.RECORDS,
            _("E-mails and answers are stuck"),
            _have_tended(
                waiting, _since(_("The work every few minutes"), run, demonstration)
            ),
            letters,
            is_due=True,
        )


def _have_tended(waiting: Iterable[str], since: str) -> str:
    words = _(
        "%(since)s %(waiting)s Ask the person who keeps the site to have %(command)s."
    )
    return words % {
        "since": since,
        "waiting": " ".join(waiting),
        "command": _("“manage.py tend” run every few minutes"),
    }


def _since(what: str, run: LastRun | None, demonstration: Demonstration) -> str:
    if run is None:
        return _("%s has never been done.") % what
    at = run.at.astimezone(demonstration.zone)
    return _("%(what)s was last done on %(day)s at %(time)s.") % {
        "what": what,
        "day": date_format(at, "j F Y"),
        "time": f"{at:%H:%M}",
    }


def _of_names(demonstration: Demonstration) -> Iterator[Todo]:
    """Ask whether a name that a phone wrote in is somebody who is known."""
    for row in evenings_to_settle(demonstration):
        yield Todo(
            Subject.PEOPLE,
            _("Who walked in at %s?") % dated(row),
            _("A name added on a phone is on the list twice: one person, or two?"),
            reverse("fieldlog:book", args=[demonstration.slug, row.pk]) + "#same",
            act=_("Say who it was"),
            hour=Hour.AFTER,
        )


def _of_safety(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    day = now.astimezone(demonstration.zone).date()
    late = overdue_hazards(demonstration, day)
    if late:
        words = ngettext(
            "The day is past for “%(first)s”. Until then no briefing that names it "
            "can be published.",
            "The day is past for “%(first)s” and %(more)d more. Until then no "
            "briefing that names them can be published.",
            len(late),
        )
        yield Todo(
            Subject.SAFETY,
            _("Review the hazards"),
            words % {"first": late[0], "more": len(late) - 1},
            reverse("briefings:hazards", args=[demonstration.slug]),
            is_due=True,
            act=_("Review them"),
        )


def _of_incidents(demonstration: Demonstration) -> Iterator[Todo]:
    matters = open_matters(demonstration)
    if matters.children:
        yield Todo(
            Subject.SAFETY,
            _("A child's log is still open"),
            _("Lost or found: is the child back with their adult? Then end the log."),
            reverse("incidents:lost_children", args=[demonstration.slug]),
            is_due=True,
            act=_("Open the log"),
            is_alarm=True,
        )
    if matters.incidents:
        words = ngettext(
            "Review %d incident report", "Review %d incident reports", matters.incidents
        )
        yield Todo(
            Subject.SAFETY,
            words % matters.incidents,
            _("Not reviewed yet."),
            reverse("incidents:incidents", args=[demonstration.slug]),
            is_due=True,
            act=_("Review"),
        )


def _of_letters(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    astray, to_tell, unknown = to_look_at(demonstration, now)
    book = reverse("people:letters", args=[demonstration.slug]) + "?show=trouble"
    if unknown:
        yield _of_unknown(unknown, book)
    if astray or to_tell:
        yield _of_astray(len(astray), len(to_tell), len(astray | to_tell), book)


def _of_unknown(unknown: int, book: str) -> Todo:
    words = ngettext("Ask if %d e-mail arrived", "Ask if %d e-mails arrived", unknown)
    why = _("Sending broke off halfway. Ask first, so nobody gets it twice.")
    act = _("See the e-mails")
    return Todo(Subject.PEOPLE, words % unknown, why, book, is_due=True, act=act)


def _of_astray(astray: int, to_tell: int, people: int, book: str) -> Todo:
    """Ask to phone: a letter that came back needs it as one without an address."""
    why = []
    if astray:
        words = ngettext(
            "An e-mail to %d person didn't arrive.",
            "E-mails to %d people didn't arrive.",
            astray,
        )
        why.append(words % astray)
    if to_tell:
        words = ngettext(
            "%d person has no e-mail.", "%d people have no e-mail.", to_tell
        )
        why.append(words % to_tell)
    words = ngettext("Phone %d person", "Phone %d people", people)
    return Todo(
        Subject.PEOPLE,
        words % people,
        " ".join(why),
        book,
        is_due=True,
        act=_("See who to phone"),
        hour=Hour.AFTERNOON,
    )


def _of_claims(demonstration: Demonstration) -> Iterator[Todo]:
    waiting = claims_waiting(demonstration)
    if waiting:
        words = ngettext("%d skill to confirm", "%d skills to confirm", waiting)
        yield Todo(
            Subject.PEOPLE,
            words % waiting,
            _("It counts at no station until you confirm it."),
            reverse("people:competences", args=[demonstration.slug]),
            act=_("Confirm"),
        )


def _of_pictures(demonstration: Demonstration) -> Iterator[Todo]:
    waiting = Picture.objects.of(demonstration).to_look_through().count()
    if waiting:
        words = ngettext("Look through %d picture", "Look through %d pictures", waiting)
        yield Todo(
            Subject.RECORDS,
            words % waiting,
            _("Visitors don't see it yet."),
            reverse("pictures:list", args=[demonstration.slug]),
            act=_("See the pictures"),
        )
