"""Letters about the treading: one for each person whose turns changed.

Each goes into the letter book under a key of its own, so that nobody is told twice;
a newer one overtakes those that still wait to be sent.
"""

import hashlib
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from heritage.dam.models import Ret, RotaPlan, Treader, Treading
from heritage.dam.treading.selectors import lack_of, turn_words
from heritage.people.letters import services as letters
from heritage.people.letters.selectors import address_of
from heritage.people.models import Volunteer


def matter_of(ret: Ret) -> str:
    """Name a ret's treading as the matter of letters in the book."""
    return f"treading {ret.pk}"


def gap_of(turn: Treading) -> str:
    """Name a gap as a matter of its own: no letter about turns overtakes it."""
    return f"treading gap {turn.pk}"


@dataclass(frozen=True, slots=True)
class _Letter:
    """One letter about a ret's treading, to one person."""

    ret: Ret
    person: Volunteer
    key: str
    subject: str
    template: str
    words: dict[str, Any]


@dataclass(frozen=True, slots=True)
class _Loss:
    """Turns that lost somebody: a line for each, by its key, and who it was.

    Somebody off the list is not named.
    """

    lines: Mapping[int, str]
    who: str
    now: datetime


def tell_changed(plan: RotaPlan, now: datetime) -> int:
    """Write to everybody whose turns to come are not those they were told of.

    The caller has locked the ret, so that two tellings cannot cross. Returns how many
    were written to.
    """
    by_person: defaultdict[int, list[Treader]] = defaultdict(list)
    rows = Treader.objects.of_plan(plan).to_come(now).with_people()
    for row in rows.select_related("turn").order_by("turn__at", "pk"):
        by_person[row.volunteer_id].append(row)
    changed = [mine for mine in by_person.values() if any(map(_is_news, mine))]
    if not changed:
        return 0
    plan.edition += 1
    plan.save(update_fields=["edition"])
    for mine in changed:
        _tell(plan, mine, now)
        for row in filter(_is_news, mine):
            row.told = _is_to_come(row)
            row.save(update_fields=["told"])
    return len(changed)


def fell_out(key: int, now: datetime) -> None:
    """Tell of somebody on the rota who cannot come to a turn after all."""
    row = Treader.objects.select_related("volunteer").get(pk=key)
    lost([row.turn_id], now, who=row.volunteer.name)


def lost(keys: Sequence[int], now: datetime, who: str = "") -> None:
    """Tell of turns that lost somebody: the organisers, and those still on them.

    One letter to each, with all the turns that are theirs. Somebody off the list is
    not named (``who``): they may have been erased.
    """
    turns = list(Treading.objects.of_keys(keys).for_page().in_order())
    if not turns:
        return
    rows = list(Treader.objects.in_turns(turns).on().of_active().with_people())
    loss = _Loss({turn.pk: _left_on(turn, rows) for turn in turns}, who, now)
    where = turns[0].plan.ret.dam.demonstration
    organisers = Volunteer.objects.of(where).active().organisers()
    told = set()
    for organiser in organisers.select_related("user").by_name():
        _tell_lost(organiser, turns, loss, "gap")
        told.add(organiser.pk)
    theirs: defaultdict[Volunteer, list[Treading]] = defaultdict(list)
    turn_of = {turn.pk: turn for turn in turns}
    for row in rows:
        if row.volunteer_id not in told:
            theirs[row.volunteer].append(turn_of[row.turn_id])
    for person, mine in theirs.items():
        in_order = [turn for turn in turns if turn in mine]
        _tell_lost(person, in_order, loss, "fewer")


def _left_on(turn: Treading, rows: Sequence[Treader]) -> str:
    """Write a turn with how many are on it still, and what it lacks."""
    on = [row for row in rows if row.turn_id == turn.pk]
    lack = lack_of(turn.plan, on).words
    words = _("%(turn)s: now %(on)d of %(people)d")
    return (words + ". " + _("Missing: %(lack)s") if lack else words) % {
        "turn": f"{turn_words(turn)}, {_clock(turn)}",
        "on": len(on),
        "people": turn.plan.wanted,
        "lack": lack,
    }


def _tell_lost(
    person: Volunteer, turns: Sequence[Treading], loss: _Loss, template: str
) -> None:
    ret = turns[0].plan.ret
    what = turn_words(turns[0]) if len(turns) == 1 else ret.dam.name
    keys = "-".join(str(turn.pk) for turn in turns)
    mark = f"{keys} {loss.now.isoformat()} {loss.who}".encode()
    key = f"treading-gap:{hashlib.sha256(mark).hexdigest()[:16]}:{person.pk}"
    subject = _("A gap in the treading: %s") % what
    words = {"who": loss.who, "turns": [loss.lines[turn.pk] for turn in turns]}
    _write(
        _Letter(ret, person, key, subject, template, words),
        loss.now,
        about=gap_of(turns[0]),
        also=[gap_of(turn) for turn in turns[1:]],
    )


def _is_news(row: Treader) -> bool:
    return row.told != _is_to_come(row)


def _is_to_come(row: Treader) -> bool:
    """Tell whether somebody is to come to a turn that is to be."""
    return row.is_on and row.turn.dropped_at is None


def _tell(plan: RotaPlan, mine: list[Treader], now: datetime) -> None:
    person, ret = mine[0].volunteer, plan.ret
    turns = [_line(plan, row) for row in mine if _is_to_come(row)]
    gone = [_line(plan, row) for row in mine if row.told and not _is_to_come(row)]
    if ret.lifted_at:
        subject, template = _("No more treading: %s") % ret.dam.name, "over"
    else:
        subject, template = _("Your turns at the dam: %s") % ret.dam.name, "turns"
    key = f"treading:{plan.pk}:{plan.edition}:{person.pk}"
    words = {"turns": turns, "gone": gone, "plan": plan}
    letter = _Letter(ret, person, key, subject, template, words)
    _write(letter, now, about=matter_of(ret), overtakes=[person])


def _line(plan: RotaPlan, row: Treader) -> str:
    line = f"{turn_words(row.turn)}, {_clock(row.turn, plan)}"
    return _("%s: you watch from the bank") % line if row.watches else line


def _clock(turn: Treading, plan: RotaPlan | None = None) -> str:
    zone = (plan or turn.plan).ret.dam.demonstration.zone
    return f"{turn.at.astimezone(zone):%H:%M}"


def _write(
    letter: _Letter,
    now: datetime,
    *,
    about: str,
    also: Sequence[str] = (),
    overtakes: Sequence[Volunteer] = (),
) -> None:
    ret, person = letter.ret, letter.person
    where = ret.dam.demonstration
    context = letter.words | {
        "person": person,
        "ret": ret,
        "demonstration": where,
        "address": f"{settings.SITE_ADDRESS}{ret.get_absolute_url()}treading/",
    }
    letters.write(
        demonstration=where,
        key=letter.key,
        volunteer=person,
        address=address_of(person),
        subject=letter.subject,
        text=render_to_string(f"dam/mail/{letter.template}.txt", context),
        now=now,
        about=about,
        also=also,
        overtakes=list(overtakes),
    )
