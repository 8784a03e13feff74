"""What people asked about their data, and whether the site's own work is done."""

from collections.abc import Iterator
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.common.models import Chore, LastRun
from heritage.desk.selectors.todo import Todo
from heritage.gatherings.selectors import waits_for_round
from heritage.privacy.selectors import asked_of_us, is_anything_due
from heritage.season.models import Demonstration

# House rules: deleting is called each night, tending every few minutes.
TIDY_WITHIN = timedelta(days=2)
TEND_WITHIN = timedelta(hours=1)


def of_asked(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Ask for an answer to complaints and to who would be erased: two queries."""
    asked, slug = asked_of_us(demonstration, now), demonstration.slug
    if asked.days_left is not None:
        yield Todo(
            _("Acknowledge the complaint"),
            _("The days for it are past.")
            if asked.days_left < 0
            else ngettext("%d day is left.", "%d days are left.", asked.days_left)
            % asked.days_left,
            reverse("privacy:complaints", args=[slug]),
            is_due=True,
        )
    if asked.erasures:
        words = ngettext(
            "%d waits. It is answered within a month of the asking.",
            "%d wait. Each is answered within a month of the asking.",
            asked.erasures,
        )
        yield Todo(
            _("Look at who asks to be erased"),
            words % asked.erasures,
            reverse("privacy:erasures", args=[slug]),
            is_due=True,
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
            _("What is due to be deleted still lies here"),
            _(
                "%s Look at it and delete it here, and ask whoever keeps the site to "
                "have “manage.py tidy --carry-out” run each night."
            )
            % _since(_("The nightly deleting"), run, demonstration),
            reverse("privacy:due", args=[demonstration.slug]),
            is_due=True,
        )


def _of_tend(
    demonstration: Demonstration, run: LastRun | None, now: datetime
) -> Iterator[Todo]:
    letters = reverse("people:letters", args=[demonstration.slug])
    if run and now - run.at <= TEND_WITHIN:
        if run.trouble:
            yield Todo(
                _("Part of the site's own work fails"),
                _("%s Whoever keeps the site finds the reason in its log.")
                % run.trouble,
                letters,
                is_due=True,
            )
        return
    waiting = waits_for_round(demonstration, now)
    if waiting:
        yield Todo(
            _("Letters and answers stand still"),
            _("%(since)s %(waiting)s Ask whoever keeps the site to have %(command)s.")
            % {
                "since": _since(_("The work every few minutes"), run, demonstration),
                "waiting": " ".join(waiting),
                "command": _("“manage.py tend” run every few minutes"),
            },
            letters,
            is_due=True,
        )


def _since(what: str, run: LastRun | None, demonstration: Demonstration) -> str:
    if run is None:
        return _("%s has never been done.") % what
    at = run.at.astimezone(demonstration.zone)
    return _("%(what)s was last done on %(day)s at %(time)s.") % {
        "what": what,
        "day": date_format(at, "j F Y"),
        "time": f"{at:%H:%M}",
    }
