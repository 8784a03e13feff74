"""Where two lines of one person meet: one row becomes of two, and both are told."""

from datetime import datetime
from typing import Any

from django.db.models import Model
from django.utils.translation import gettext as _

import heritage.gatherings.services as gatherings
from heritage.dam.models import NEVER_ALONE, Treader, were_enough
from heritage.gatherings.models import Awaited, Safe, SignUp, SignUpStatus, Turnout
from heritage.people.models import Agreement, Skill, Subject, User, Volunteer
from heritage.safety.models import Acknowledgement


def meet(gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> list[str]:
    """Carry over what a person has one of for each; say what met and how it ended."""
    return [
        *_places(gone, kept, by, now),
        *_turnout(gone, kept),
        *_treading(gone, kept),
        *_agreements(gone, kept, by, now),
        *_firsts(Acknowledgement, "version", "heard_at", gone, kept),
        *_firsts(Awaited, "muster", "since", gone, kept),
        *_firsts(Safe, "muster", "seen_at", gone, kept),
        *_skills(gone, kept),
    ]


def _pairs(
    model: type[Model], key: str, gone: Volunteer, kept: Volunteer, **asked: Any
) -> list[tuple[Any, Any]]:
    """Return the rows that meet: of the line that goes, and of the one that stays."""
    rows = model._default_manager.filter(volunteer__in=[gone, kept], **asked)
    found: dict[int, dict[int, Any]] = {}
    row: Any
    for row in rows.select_related(key).order_by("pk"):
        about = found.setdefault(getattr(row, f"{key}_id"), {})
        about[row.volunteer_id] = row
    return [(both[gone.pk], both[kept.pk]) for both in found.values() if len(both) > 1]


def _over(model: type[Model], gone: Volunteer, kept: Volunteer) -> None:
    model._default_manager.filter(volunteer=gone).update(volunteer=kept)


def _places(gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> list[str]:
    """Keep the better place of two; the other is given up, and the queue moves.

    Of two places alike that of the line which stays is kept.
    """
    live = [SignUpStatus.HELD, SignUpStatus.WAITING]
    settled = []
    for pair in _pairs(SignUp, "gathering", gone, kept, status__in=live):
        lesser = max(pair, key=_turn)
        if now < lesser.gathering.ends_at:
            # The same person has the other place: their children's stay beside it.
            gatherings.give_up(sign_up=lesser, by=by, now=now, children="stay")
        else:
            lesser.status, lesser.changed_at = SignUpStatus.GIVEN_UP, now
            lesser.answer_by = None
            lesser.save(update_fields=["status", "changed_at", "answer_by"])
        settled.append(_("%s: one of two places was given up.") % lesser.gathering)
    _over(SignUp, gone, kept)
    return settled


def _turn(row: SignUp) -> tuple[bool, float]:
    """Order places before turns, and turns by when they were asked for."""
    waits = row.status != SignUpStatus.HELD
    return waits, row.asked_at.timestamp() if waits else 0


def _turnout(gone: Volunteer, kept: Volunteer) -> list[str]:
    """Make of two stays one, from the first coming to the last going."""
    settled = []
    for theirs, own in _pairs(Turnout, "gathering", gone, kept):
        before = f"{_stay(theirs)}; {_stay(own)}"
        own.arrived_at = min(theirs.arrived_at, own.arrived_at)
        leavings = [row.left_at for row in (theirs, own) if row.left_at]
        own.left_at = max(leavings, default=None)
        theirs.delete()
        own.full_clean()
        own.save(update_fields=["arrived_at", "left_at"])
        words = _("%(what)s: %(before)s became %(after)s.")
        settled.append(
            words % {"what": own.gathering, "before": before, "after": _stay(own)}
        )
    _over(Turnout, gone, kept)
    return settled


def _stay(row: Turnout) -> str:
    zone = row.gathering.demonstration.zone
    ends = [row.arrived_at, row.left_at]
    return " to ".join(f"{end.astimezone(zone):%H:%M}" if end else "?" for end in ends)


def _treading(gone: Volunteer, kept: Volunteer) -> list[str]:
    """Keep of two answers to one turn the one that counts: trod, on, the later."""
    settled = []
    for pair in _pairs(Treader, "turn", gone, kept):
        lesser = min(pair, key=_weight)
        settled.append(_("%s: answered twice, kept once.") % lesser.turn)
        lesser.delete()
        settled += _alone_after_all(lesser)
    _over(Treader, gone, kept)
    return settled


def _weight(row: Treader) -> tuple[bool, bool, bool, datetime]:
    return bool(row.trod), row.watches, row.is_on, row.changed_at


def _alone_after_all(gone: Treader) -> list[str]:
    """Say so where too few were at the water, since two of them were one person."""
    turn, rows = gone.turn, Treader.objects.in_turns([gone.turn]).who_came()
    trod = {row.volunteer_id for row in rows if row.trod}
    watched = {row.volunteer_id for row in rows if row.watches}
    came = gone.trod or (gone.watches and turn.trodden_at is not None)
    if not came or were_enough(trod, watched) or turn.why_alone:
        return []
    turn.why_alone = _("Written down for two, on two lines of one person.")
    turn.save(update_fields=["why_alone"])
    if len(trod) < NEVER_ALONE:
        return [_("%s: one person trod alone after all. Ask what happened.") % turn]
    return [_("%s: nobody watched after all. Ask what happened.") % turn]


def _firsts(
    model: type[Model], key: str, when: str, gone: Volunteer, kept: Volunteer
) -> list[str]:
    """Keep of two the one that came first."""
    settled = []
    for pair in _pairs(model, key, gone, kept):
        later = max(pair, key=lambda row: getattr(row, when))
        settled.append(
            _("%(what)s: the second time, %(when)s, is dropped.")
            % {"what": getattr(later, key), "when": f"{getattr(later, when):%Y-%m-%d}"}
        )
        later.delete()
    _over(model, gone, kept)
    return settled


def _skills(gone: Volunteer, kept: Volunteer) -> list[str]:
    """Keep of two the confirmed one, and of two confirmed the one good for longer."""
    settled = []
    for pair in _pairs(Skill, "competence", gone, kept):
        lesser = min(
            pair,
            key=lambda row: (
                row.confirmed_at is not None,
                row.confirmed_at is not None and row.runs_out_on is None,
                row.runs_out_on.toordinal() if row.runs_out_on else 0,
            ),
        )
        settled.append(_("%s: said twice, kept once.") % lesser.competence)
        lesser.delete()
    _over(Skill, gone, kept)
    return settled


def _agreements(gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> list[str]:
    """Keep the first of two alike; a taking back on either line counts for both."""
    settled = []
    for pair in _pairs(Agreement, "wording", gone, kept, withdrawn_at__isnull=True):
        later = max(pair, key=lambda row: row.given_at)
        settled.append(_("%s: agreed to twice, kept once.") % later.wording)
        later.delete()
    _over(Agreement, gone, kept)
    for subject in Subject:
        rows = kept.agreements.on(subject)
        ended = rows.exclude(withdrawn_at=None).order_by("-withdrawn_at").first()
        if ended and ended.withdrawn_at:
            stale = rows.standing().filter(given_at__lt=ended.withdrawn_at)
            if stale.update(withdrawn_at=now, withdrawn_by=by):
                words = _("%s: taken back on one line, so it is on both.")
                settled.append(words % subject.label)
    return settled
