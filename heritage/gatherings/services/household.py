"""Signing a household up with one form."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering, SignUp, SignUpStatus, Station
from heritage.gatherings.services.locking import hold, require_open
from heritage.gatherings.services.places import (
    enter,
    fresh,
    require_fit,
    require_free,
)
from heritage.gatherings.services.wishes import write_wishes
from heritage.people.models import User, Volunteer


@dataclass(frozen=True, slots=True)
class Ask:
    """One person of the household, where they would work, and where else."""

    volunteer: Volunteer
    station: Station
    also: tuple[Station, ...] = ()


@dataclass(frozen=True, slots=True)
class Verdict:
    """What became of one ask: a place or a turn, or why neither."""

    ask: Ask
    sign_up: SignUp | None = None
    refusal: str = ""


@transaction.atomic
def sign_up_together(
    *,
    gathering: Gathering,
    asks: Sequence[Ask],
    by: User,
    now: datetime,
    only_together: bool = False,
) -> list[Verdict]:
    """Sign up several people at once, and say of each what became of it.

    Each is taken for themselves: one who is refused keeps nobody else from a place,
    but for a child under 13, who comes only with the adult who answers for them.
    With ``only_together`` there is a place for every one of them, or nothing is done.

    Raises
    ------
    ValidationError
        If nobody is named, somebody is named twice, or they would come only
        together and cannot; then nothing has been done.
    """
    gathering = hold(gathering)
    require_open(gathering, now)
    people = {ask.volunteer.pk for ask in asks}
    if not asks:
        raise ValidationError(_("Choose a station for at least one of you."))
    if len(people) < len(asks):
        raise ValidationError(_("Choose one station for each of you."))
    # A child under 13 has a place only beside their adult's, so that comes first.
    in_turn = sorted(asks, key=lambda ask: ask.volunteer.needs_adult)
    of_each = {ask.volunteer.pk: _taken(ask, gathering, by, now) for ask in in_turn}
    verdicts = [of_each[ask.volunteer.pk] for ask in asks]
    if only_together:
        _require_all(verdicts)
    return verdicts


def _taken(ask: Ask, gathering: Gathering, by: User, now: datetime) -> Verdict:
    try:
        station = fresh(ask.station, gathering)
        require_free(gathering, ask.volunteer, by)
        require_fit(station, gathering, ask.volunteer, may_wait=True)
    except ValidationError as error:
        return Verdict(ask, refusal=" ".join(error.messages))
    entry = enter(gathering, station, ask.volunteer, now)
    write_wishes(gathering, entry, ask.also)
    return Verdict(ask, entry)


def _require_all(verdicts: Sequence[Verdict]) -> None:
    """Undo everything unless there is a place for all."""
    reasons = [one.refusal for one in verdicts if one.refusal]
    reasons += [
        _("%(station)s has no place for %(who)s.")
        % {"station": one.ask.station, "who": one.ask.volunteer}
        for one in verdicts
        if one.sign_up and one.sign_up.status == SignUpStatus.WAITING
    ]
    if reasons:
        head = _(
            "You would come only together, so nobody has been signed up. Choose other "
            "stations, or take the tick away and let each have what there is."
        )
        raise ValidationError([head, *reasons])
