"""What each evening wants: its call, its people, its first-aider, and its closing."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.desk.selectors import Hour, Subject, Todo, dated, day_of
from heritage.gatherings.asked.selectors import machine_warnings
from heritage.gatherings.models import Gathering, GatheringQuerySet
from heritage.gatherings.selectors import GatheringLine
from heritage.season.models import Stage

CALL_WITHIN = timedelta(hours=30)
FILL_WITHIN = timedelta(days=4)
# How far back an evening that was not closed is still asked for.
ASKED_FOR = timedelta(days=21)


def of_evenings(
    slug: str,
    ahead: Sequence[GatheringLine],
    mine: GatheringQuerySet,
    now: datetime,
    *,
    is_time: bool,
) -> Iterator[Todo]:
    """Say what the evenings to come want, and which are to be closed: two queries.

    ``is_time`` says whether it is time to post one, where none is.
    """
    if not ahead:
        yield Todo(
            Subject.GATHERINGS,
            _("Post the next evening"),
            _("No evening is posted yet."),
            reverse("gatherings:post", args=[slug]),
            is_due=is_time,
            act=_("Post an evening"),
        )
    going = [line for line in ahead if not line.gathering.is_called_off]
    for line in going:
        yield from _of_call(slug, line, now)
        yield from _of_people(slug, line, now)
    yield from _of_first_aid(slug, [line.gathering for line in going], now)
    yield from _of_machines(slug, going, now)
    yield from _of_past(slug, mine, now)


def _of_call(slug: str, line: GatheringLine, now: datetime) -> Iterator[Todo]:
    """Ask for the decision; what was decided for good is asked no more."""
    row = line.gathering
    if row.starts_at - now >= CALL_WITHIN or (line.call and not line.is_on_hold):
        return
    why = _("%s: nobody has been told yet if it's going ahead.")
    if line.is_on_hold:
        why = _("%s: you said wait and see. People are waiting for word.")
    elif row.starts_at <= now:
        why = _("%s has begun, and nobody has been told if it's going ahead.")
    yield Todo(
        Subject.GATHERINGS,
        _("Decide about %s") % day_of(row, now),
        why % row.title,
        reverse("gatherings:call", args=[slug, row.pk]),
        is_due=True,
        act=_("Decide"),
        hour=Hour.AFTERNOON,
        gathering=row,
    )


def _of_people(slug: str, line: GatheringLine, now: datetime) -> Iterator[Todo]:
    """Ask for people while they can still sign up: nobody does once it has begun."""
    row = line.gathering
    if not (line.free or line.short) or not now < row.starts_at < now + FILL_WITHIN:
        return
    begins = row.starts_at.astimezone(row.demonstration.zone)
    is_today = begins.date() == now.astimezone(begins.tzinfo).date()
    when = f"{begins:%H:%M}" if is_today else day_of(row, now)
    lacking = sum(one.filling.short for one in line.short)
    words = _("Room for %(n)d more: %(when)s")
    if lacking:
        words = ngettext(
            "One more needed for %(when)s", "%(n)d more needed for %(when)s", lacking
        )
    yield Todo(
        Subject.GATHERINGS,
        words % {"n": lacking or line.free, "when": when},
        f"{row.title}. {_hands(line)}",
        row.get_absolute_url(),
        is_due=bool(lacking) and row.starts_at - now < CALL_WITHIN,
        act=_("See who is coming"),
        hour=Hour.AFTERNOON,
    )


def _hands(line: GatheringLine) -> str:
    """Say which stations cannot begin for want of hands, then what is free."""
    sentences = [f"{one.station}: {one.filling.words}." for one in line.short]
    if line.free:
        words = ngettext("%d place left.", "%d places left.", line.free)
        sentences.append(words % line.free)
    return " ".join(sentences)


def _of_first_aid(
    slug: str, rows: Sequence[Gathering], now: datetime
) -> Iterator[Todo]:
    """Ask for a first-aider: one line for the next evening without one, and more."""
    without = [row for row in rows if row.first_aider_id is None]
    if not without:
        return
    first, *others = without
    why = [_("%s has none yet. Choose one before people come.") % first.title]
    if others:
        why.append(_("Also without: %s.") % "; ".join(map(dated, others)))
    yield Todo(
        Subject.SAFETY,
        _("Choose a first-aider for %s") % day_of(first, now),
        " ".join(why),
        reverse("gatherings:edit", args=[slug, first.pk]),
        is_due=first.starts_at - now < CALL_WITHIN,
        act=_("Choose a first-aider"),
        hour=Hour.AFTERNOON,
    )


def _of_machines(
    slug: str, lines: Sequence[GatheringLine], now: datetime
) -> Iterator[Todo]:
    """Ask for the day's look at the guards before the machines run in public."""
    for line in lines:
        row = line.gathering
        if line.light.day != now.astimezone(row.demonstration.zone).date():
            continue
        for words in machine_warnings(row, row.stations.in_order(), now):
            yield Todo(
                Subject.SAFETY,
                _("Check the machines for %s") % day_of(row, now),
                words,
                reverse("machines:machines", args=[slug]),
                is_due=True,
                act=_("Check the machines"),
                hour=Hour.AFTERNOON,
            )


def _of_past(slug: str, mine: GatheringQuerySet, now: datetime) -> Iterator[Todo]:
    """Ask to close what is over: one query."""
    for row in mine.to_close(now, now - ASKED_FOR):
        pulled = row.stage == Stage.PULLING
        yield Todo(
            Subject.GATHERINGS,
            _("Close %s") % dated(row),
            _("Who came, and what did each pull?") if pulled else _("Who came?"),
            reverse("tally:log", args=[slug, row.pk]),
            is_due=True,
            act=_("Close the evening"),
            hour=Hour.AFTER,
        )
