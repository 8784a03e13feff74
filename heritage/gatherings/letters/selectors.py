"""Who is to be reminded, and what waits for the site's own round."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, time, timedelta

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.gatherings.ground.selectors import evening_of, homes_of, matter_of
from heritage.gatherings.models import (
    TAKE_BACK,
    Call,
    Gathering,
    GatheringQuerySet,
    SignUp,
)
from heritage.people.models import Letter
from heritage.season.models import Demonstration

# House rules, without a printed source: after breakfast on the day before, and not
# so late that the reader has set out.
FROM = time(9)
NOT_WITHIN = timedelta(hours=2)
AHEAD = timedelta(days=3)
# Within this of the start nobody loses a place: they may have set out.
SETTING_OUT = timedelta(hours=1)
# What was written just now goes by itself, or by the worker.
LETTER_TAKES = timedelta(minutes=10)


def due_at(gathering: Gathering) -> datetime:
    """Return when the reminder goes: in the morning, there, on the day before."""
    demonstration = gathering.demonstration
    day = evening_of(gathering.starts_at, demonstration) - timedelta(days=1)
    return datetime.combine(day, FROM, demonstration.zone).astimezone(UTC)


def to_remind_of(rows: GatheringQuerySet, now: datetime) -> Iterable[Gathering]:
    """Keep those whose reminder's hour has come and whose start has not."""
    soon = rows.starting_after(now + NOT_WITHIN).starting_by(now + AHEAD)
    return (row for row in soon if due_at(row) <= now)


def homes_to_remind(gathering: Gathering) -> list[list[SignUp]]:
    """Return the households to be reminded of a gathering: two queries.

    Who has had a letter about it since the reminder was due, and who asked for the
    place later than that, needs none.
    """
    due = due_at(gathering)
    entries = list(gathering.sign_ups.held().asked_before(due).for_page())
    matter = Letter.objects.of(gathering.demonstration).on(matter_of(gathering))
    had_letter = matter.written_since(due).values_list("volunteer", flat=True)
    return _untold(entries, set(had_letter))


def _untold(
    entries: Iterable[SignUp], had_letter: set[int | None]
) -> list[list[SignUp]]:
    homes = homes_of(entries)
    return [
        home for home in homes if not had_letter & {one.volunteer_id for one in home}
    ]


@dataclass(frozen=True, slots=True)
class Held:
    """How many letters about the newest call wait, and until when."""

    letters: int
    until: datetime | None


def held_of(gathering: Gathering, call: Call | None, now: datetime) -> Held:
    """Return the letters that may still be taken back: one query, after a call."""
    if call is None or now >= call.made_at + TAKE_BACK:
        return Held(0, None)
    rows = Letter.objects.of(gathering.demonstration).on(matter_of(gathering))
    waiting = rows.written_at(call.made_at).held_back(now)
    moments = list(waiting.values_list("try_at", flat=True))
    until = max(moments, default=None)
    zone = gathering.demonstration.zone
    return Held(len(moments), until.astimezone(zone) if until else None)


def waits_for_round(demonstration: Demonstration, now: datetime) -> list[str]:
    """Say what waits for the site's own round: a fixed number of queries."""
    sentences = []
    letters = Letter.objects.of(demonstration).due(now - LETTER_TAKES).count()
    if letters:
        words = ngettext("%d e-mail is waiting.", "%d e-mails are waiting.", letters)
        sentences.append(words % letters)
    mine = Gathering.objects.of(demonstration).going_ahead()
    late = mine.awaiting_answers(now).with_queue().starting_after(now + SETTING_OUT)
    if late.exists():
        sentences.append(_("Places that nobody answered for are not passed on."))
    soon = list(to_remind_of(mine.select_related("demonstration"), now))
    if soon and _is_anybody_untold(demonstration, soon):
        sentences.append(_("People have not been reminded of the next evening."))
    return sentences


def _is_anybody_untold(demonstration: Demonstration, soon: list[Gathering]) -> bool:
    """Tell whether a household has no letter since its reminder was due."""
    due = {row.pk: due_at(row) for row in soon}
    letters = Letter.objects.of(demonstration).written_since(min(due.values()))
    written = list(letters.only("volunteer", "about", "also", "queued_at"))
    entries = list(SignUp.objects.held().at_any(soon).for_page())
    return any(
        _untold(
            [
                entry
                for entry in entries
                if entry.gathering_id == row.pk and entry.asked_at < due[row.pk]
            ],
            {
                letter.volunteer_id
                for letter in written
                if matter_of(row) in letter.matters and letter.queued_at >= due[row.pk]
            },
        )
        for row in soon
    )
