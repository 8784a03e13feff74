"""Letters about the treading: one for each person whose turns changed.

Each goes into the letter book under a key of its own, so that nobody is told twice;
a newer one overtakes those that still wait to be sent.
"""

from collections import defaultdict
from datetime import datetime
from typing import Any

from django.conf import settings
from django.template.loader import render_to_string
from django.utils.translation import gettext as _

from heritage.dam.models import Ret, RotaPlan, Treader
from heritage.dam.selectors import turn_words
from heritage.people.models import Volunteer
from heritage.people.selectors import address_of
from heritage.people.services import letters


def matter_of(ret: Ret) -> str:
    """Name a ret's treading as the matter of letters in the book."""
    return f"treading {ret.pk}"


def gap_of(row: Treader) -> str:
    """Name a gap as a matter of its own: no letter about turns overtakes it."""
    return f"treading gap {row.turn_id}"


def tell_changed(plan: RotaPlan, now: datetime) -> int:
    """Write to everybody whose turns to come are not those they were told of.

    The ret is held by whoever calls, so that two tellings cannot cross. Returns how
    many were written to.
    """
    rows: defaultdict[int, list[Treader]] = defaultdict(list)
    found = Treader.objects.of_plan(plan).to_come(now).with_people()
    for row in found.select_related("turn").order_by("turn__at", "pk"):
        rows[row.volunteer_id].append(row)
    changed = [mine for mine in rows.values() if any(map(_is_news, mine))]
    if not changed:
        return 0
    plan.edition += 1
    plan.save(update_fields=["edition"])
    for mine in changed:
        _tell(plan, mine, now)
        for row in filter(_is_news, mine):
            row.told = _stands(row)
            row.save(update_fields=["told"])
    return len(changed)


def fell_out(key: int, now: datetime) -> None:
    """Tell the organisers that somebody on the rota cannot come after all."""
    row = Treader.objects.select_related(
        "turn__plan__ret__dam__demonstration", "volunteer"
    ).get(pk=key)
    ret = row.turn.plan.ret
    where = ret.dam.demonstration
    people = Volunteer.objects.of(where).active().organisers().select_related("user")
    for organiser in people.by_name():
        _write(
            ret,
            organiser,
            f"treading-gap:{key}:{now.isoformat()}:{organiser.pk}",
            _("A gap in the treading: %s") % turn_words(row.turn),
            "gap",
            {"who": row.volunteer, "turn": turn_words(row.turn)},
            now,
            about=gap_of(row),
        )


def _is_news(row: Treader) -> bool:
    return row.told != _stands(row)


def _stands(row: Treader) -> bool:
    """Tell whether somebody is to come to a turn that is to be."""
    return row.is_on and row.turn.dropped_at is None


def _tell(plan: RotaPlan, mine: list[Treader], now: datetime) -> None:
    person, ret = mine[0].volunteer, plan.ret
    turns = [_line(plan, row) for row in mine if _stands(row)]
    gone = [_line(plan, row) for row in mine if row.told and not _stands(row)]
    if ret.lifted_at:
        subject, template = _("No more treading: %s") % ret.dam.name, "over"
    else:
        subject, template = _("Your turns at the dam: %s") % ret.dam.name, "turns"
    key = f"treading:{plan.pk}:{plan.edition}:{person.pk}"
    said = {"turns": turns, "gone": gone, "plan": plan}
    _write(ret, person, key, subject, template, said, now, overtakes=[person])


def _line(plan: RotaPlan, row: Treader) -> str:
    zone = plan.ret.dam.demonstration.zone
    return f"{turn_words(row.turn)}, {row.turn.at.astimezone(zone):%H:%M}"


def _write(
    ret: Ret,
    person: Volunteer,
    key: str,
    subject: str,
    template: str,
    said: dict[str, Any],
    now: datetime,
    *,
    about: str = "",
    overtakes: list[Volunteer] | None = None,
) -> None:
    where = ret.dam.demonstration
    path = f"{settings.SITE_ADDRESS}{ret.get_absolute_url()}treading/"
    facts = {"person": person, "ret": ret, "demonstration": where, "address": path}
    letters.write(
        demonstration=where,
        key=key,
        volunteer=person,
        address=address_of(person),
        subject=subject,
        text=render_to_string(f"dam/mail/{template}.txt", facts | said),
        now=now,
        about=about or matter_of(ret),
        overtakes=overtakes or [],
    )
