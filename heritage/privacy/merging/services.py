"""Merging two lines of the same person, so that nothing is lost or counted twice.

The book gets a correction and a new line for each, so every total is exact;
`merged_into` keeps the other line off lists, and sums count two merged lines as one
person. Of every field to a volunteer its model says how it goes over (`Merged`,
`Meets`), or a test fails.
"""

from collections.abc import Iterator
from datetime import datetime
from operator import attrgetter
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Model
from django.utils.translation import gettext as _

from heritage.common.models import private_key
from heritage.common.privacy import Meets, Merged
from heritage.dam.models import NEVER_ALONE, Treader, were_enough
from heritage.fieldlog.models import Receipt
from heritage.gatherings.ground import services as gatherings
from heritage.gatherings.ground.selectors import folded
from heritage.gatherings.ground.services import require_lead
from heritage.gatherings.models import SignUp, SignUpStatus, Turnout
from heritage.gatherings.places import services as places_services
from heritage.people.models import (
    AgeBand,
    Agreement,
    HealthNote,
    Invitation,
    Skill,
    Subject,
    User,
    Volunteer,
)
from heritage.people.particulars.services import require_organiser
from heritage.pictures import services as pictures
from heritage.pictures.models import not_agreed
from heritage.privacy.merging.selectors import hindrances, joined_note, meetings
from heritage.privacy.models import Merge
from heritage.privacy.selectors import of_a_line
from heritage.season.models import Demonstration
from heritage.tally.services import carry_over


def meet(gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> list[str]:
    """Carry over what a person has one of for each; say what met and how it ended."""
    return [
        *_places(gone, kept, by, now),
        *_turnout(gone, kept),
        *_treading(gone, kept),
        *_agreements(gone, kept, by, now),
        *_firsts(gone, kept),
        *_skills(gone, kept),
    ]


def _pairs(
    model: type[Model], key: str, gone: Volunteer, kept: Volunteer, **asked: Any
) -> list[tuple[Any, Any]]:
    """Return the rows that meet: of the line that goes, and of the one that stays."""
    rows = model._default_manager.filter(volunteer__in=[gone, kept], **asked)
    by_key: dict[int, dict[int, Any]] = {}
    row: Any
    for row in rows.select_related(key).order_by("pk"):
        about = by_key.setdefault(getattr(row, f"{key}_id"), {})
        about[row.volunteer_id] = row
    return [(both[gone.pk], both[kept.pk]) for both in by_key.values() if len(both) > 1]


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
            places_services.give_up(sign_up=lesser, by=by, now=now, children="stay")
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
    turn.why_alone = _("Entered twice: two names on the list were one person.")
    turn.save(update_fields=["why_alone"])
    if len(trod) < NEVER_ALONE:
        return [_("%s: one person trod alone after all. Ask what happened.") % turn]
    return [_("%s: nobody watched after all. Ask what happened.") % turn]


def _firsts(gone: Volunteer, kept: Volunteer) -> list[str]:
    """Keep of two the one that came first, where that is all there is to decide."""
    settled: list[str] = []
    for model, _field, meets in meetings():
        if meets.first:
            settled += _first_of_each(model, meets, gone, kept)
            _over(model, gone, kept)
    return settled


def _first_of_each(
    model: type[Model], meets: Meets, gone: Volunteer, kept: Volunteer
) -> Iterator[str]:
    for pair in _pairs(model, meets.key, gone, kept):
        later = max(pair, key=attrgetter(meets.first))
        words = _("%(what)s: the second time, %(when)s, is dropped.")
        day = f"{getattr(later, meets.first):%Y-%m-%d}"
        yield words % {"what": getattr(later, meets.key), "when": day}
        later.delete()


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


DETAILS = ["email", "phone", "born_on"]


@transaction.atomic
def merge(*, gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> Merge:
    """Make two lines one; the same two again change nothing.

    Raises
    ------
    ValidationError
        If they cannot be one person, or something must be settled first.
    """
    gatherings.lock_gatherings(kept.demonstration)
    Demonstration.objects.select_for_update(no_key=True).get(pk=kept.demonstration_id)
    require_organiser(kept.demonstration, by)
    return make_one(gone, kept, by, now)


def make_one(gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> Merge:
    """Make two lines one, for a person who may; the caller holds everybody's lines.

    Raises
    ------
    ValidationError
        If they cannot be one person, or something must be settled first.
    """
    gone, kept = _fresh(gone), _fresh(kept)
    earlier = Merge.objects.filter(gone=gone, kept=kept).first()
    if earlier:
        return earlier
    hindered = list(hindrances(gone, kept))
    if hindered:
        raise ValidationError(hindered)
    # Children first: none is left at a gathering while two places there become one.
    moved = _move_all(gone, kept, by, now)
    settled = meet(gone, kept, by, now)
    settled += _join(gone, kept, now)
    _take_down_unasked(kept)
    row = Merge(
        demonstration=kept.demonstration,
        kept=kept,
        gone=gone,
        at=now,
        by=by,
        moved=moved,
        settled=settled,
    )
    row.full_clean()
    row.save()
    return row


def _fresh(person: Volunteer) -> Volunteer:
    rows = Volunteer.objects.select_related("demonstration", "user", "guardian")
    return rows.get(pk=person.pk)


def _move_all(
    gone: Volunteer, kept: Volunteer, by: User, now: datetime
) -> dict[str, int]:
    """Carry over what the book counts, and point the rest; return how many of which."""
    carried = carry_over(gone=gone, kept=kept, by=by, now=now)
    moved = {
        "beets": carried.beets,
        "lines of other work": carried.work_lines,
        "own logs": carried.own_logs,
        **_move(gone, kept),
    }
    return {what: rows for what, rows in moved.items() if rows}


def _move(gone: Volunteer, kept: Volunteer) -> dict[str, int]:
    """Point every row of one line to the other; return how many of which."""
    moved: dict[str, int] = {}
    for model, path, merged in of_a_line():
        if merged == Merged.MOVES:
            rows = model._default_manager.filter(**{path: gone})
            what = f"{model._meta.verbose_name_plural}: {path}"
            moved[what] = rows.update(**{path: kept})
    moved["pictures"] = pictures.move_marks(gone=gone, kept=kept)
    return moved


def _join(gone: Volunteer, kept: Volunteer, now: datetime) -> list[str]:
    """Give the kept line what it lacks, and empty the other."""
    settled = [*_join_notes(gone, kept), *_join_details(gone, kept)]
    user, organised_since = gone.user, gone.organiser_since
    _empty(gone, kept, now)
    kept.user = kept.user or user
    if kept.age_band == AgeBand.ADULT and organised_since:
        kept.hold_role(organised_since)
    kept.joined_at = min(kept.joined_at, gone.joined_at)
    if gone.left_at == now:
        kept.left_at = None
    kept.full_clean()
    kept.save()
    if kept.user_id:
        _close_invitations(kept, now)
    return settled


def _join_details(gone: Volunteer, kept: Volunteer) -> Iterator[str]:
    """Fill the kept line's details; say which of the other's go."""
    for name in DETAILS:
        theirs, own = getattr(gone, name), getattr(kept, name)
        if theirs and not own:
            setattr(kept, name, theirs)
        elif theirs and theirs != own:
            what: Any = Volunteer._meta.get_field(name)
            words = {"what": what.verbose_name, "kept": own, "gone": theirs}
            yield _("%(what)s: %(kept)s stays, and %(gone)s goes.") % words
    if not kept.emergency_name:
        kept.emergency_name = gone.emergency_name
        kept.emergency_phone = gone.emergency_phone


def _empty(gone: Volunteer, kept: Volunteer, now: datetime) -> None:
    gone.user = None
    gone.hold_role(None)
    gone.email = gone.phone = gone.emergency_name = gone.emergency_phone = ""
    gone.born_on, gone.calendar_key = None, private_key()
    gone.merged_into, gone.left_at = kept, gone.left_at or now
    gone.full_clean()
    gone.save()


def _join_notes(gone: Volunteer, kept: Volunteer) -> list[str]:
    """Keep the words of both health notes, until the earlier of their days."""
    theirs = HealthNote.objects.filter(volunteer=gone).first()
    if theirs is None:
        return []
    own = HealthNote.objects.filter(volunteer=kept).first()
    if own is None:
        theirs.volunteer = kept
        theirs.save(update_fields=["volunteer"])
        return []
    own.text = joined_note(gone, kept)
    own.delete_on = max(min(own.delete_on, theirs.delete_on), own.agreed_at.date())
    theirs.delete()
    own.save(update_fields=["text", "delete_on"])
    return [_("Both health notes became one.")]


def _close_invitations(kept: Volunteer, now: datetime) -> None:
    """Let nobody else take up a line that has its account."""
    rows = Invitation.objects.filter(volunteer=kept)
    rows.open(now).update(withdrawn_at=now)


def _take_down_unasked(kept: Volunteer) -> None:
    """Show nobody who, the two lines read together, has not agreed."""
    if not_agreed(Volunteer.objects.filter(pk=kept.pk)).exists():
        pictures.unpublish_of(volunteer=kept)


@transaction.atomic
def settle_name(
    *, receipt: Receipt, same_as: Volunteer | None, by: User, now: datetime
) -> Receipt:
    """Make the line written in one with its namesake's, or say that they are two.

    A lead may, who saw them: the line that goes is of that evening alone, and bears
    the name of the one that stays. What was settled before stands.

    Raises
    ------
    ValidationError
        If the two cannot be one person.
    """
    demonstration = receipt.gathering.demonstration
    gatherings.lock_gatherings(demonstration)
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    require_lead(receipt.gathering, by)
    row = Receipt.objects.select_related("volunteer").get(pk=receipt.pk)
    if row.settled_at or row.volunteer is None or not row.is_apart:
        return row
    if same_as:
        _join_names(row.volunteer, same_as, by, now)
        row.volunteer = same_as
    row.settled_at, row.settled_by = now, by
    row.full_clean()
    row.save(update_fields=["volunteer", "settled_at", "settled_by"])
    return row


def _join_names(gone: Volunteer, kept: Volunteer, by: User, now: datetime) -> None:
    if folded(gone.name) != folded(kept.name):
        raise ValidationError(
            _("Their names differ, so only an organiser can join them.")
        )
    if gone.user_id:
        # They are more than a name by now, and that is not a lead's to give away.
        require_organiser(gone.demonstration, by)
    make_one(gone, kept, by, now)
