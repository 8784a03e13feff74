"""A slip comes in, is dealt with once, and is answered with its receipt."""

from datetime import datetime

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

import heritage.tally.services as tally
from heritage.common.photographs import read_photograph
from heritage.fieldlog.models import CLOSES, Outcome, Receipt
from heritage.fieldlog.services.coming import COMERS
from heritage.fieldlog.services.counting import COUNTERS
from heritage.fieldlog.services.desk import Desk, Kept
from heritage.fieldlog.services.keeping import KEEPERS
from heritage.fieldlog.services.slips import Slip
from heritage.gatherings.models import Gathering
from heritage.kits.imaging import Prepared
from heritage.people.models import User

ALL_KINDS = COMERS | KEEPERS | COUNTERS


def receive(*, gathering: Gathering, slip: Slip, by: User, now: datetime) -> Receipt:
    """Deal with a slip once, and answer it; the same slip again is only answered.

    What the rules refuse is answered too, with the reason, and that answer stands:
    to mend it the phone makes a new slip under a new key.

    Raises
    ------
    ValidationError
        If the key was used at another gathering.
    """
    earlier = _earlier(gathering, slip)
    if earlier:
        return earlier
    # A photograph is read before the lock, for that takes its time.
    prepared, refusal = _made_ready(slip)
    with transaction.atomic():
        gathering = _held(gathering)
        earlier = _earlier(gathering, slip)
        if earlier:
            return earlier
        at = counts_from(slip, gathering, now)
        desk = Desk(gathering, slip, by, at, now, prepared)
        return _answer(desk, refusal)


def counts_from(slip: Slip, gathering: Gathering, now: datetime) -> datetime:
    """Return the time a slip counts for: the server's, unless the phone's can be.

    Of a phone's clock only the time that passed between making the slip and sending
    it is used, never the hour it shows; and only if that ends up within the
    gathering, from when its book opens to when its page closes.
    """
    if slip.phone_time is None or slip.sent_at is None:
        return now
    at = now - (slip.sent_at - slip.phone_time)
    opens = gathering.starts_at - tally.BOOK_OPENS
    return at if opens <= at <= min(now, gathering.ends_at + CLOSES) else now


def _answer(desk: Desk, refusal: ValidationError | None) -> Receipt:
    try:
        outcome, kept = Outcome.KEPT, _kept(desk, refusal)
    except ValidationError as error:
        outcome, kept = Outcome.REFUSED, Kept(" ".join(error.messages))
    receipt = Receipt(
        key=desk.slip.key,
        gathering=desk.gathering,
        by=desk.by,
        kind=desk.slip.kind,
        outcome=outcome,
        words=kept.words[:300],
        volunteer=kept.volunteer,
        phone_time=desk.slip.phone_time,
        sent_at=desk.slip.sent_at,
        received_at=desk.now,
        counts_from=desk.at,
        is_apart=kept.is_apart,
    )
    receipt.full_clean()
    receipt.save()
    return receipt


def _kept(desk: Desk, refusal: ValidationError | None) -> Kept:
    if refusal:
        raise refusal
    with transaction.atomic():
        return ALL_KINDS[desk.slip.kind](desk)


def _held(gathering: Gathering) -> Gathering:
    """Return the gathering; its other slips wait until this one is dealt with."""
    rows = Gathering.objects.select_for_update(of=("self",))
    return rows.select_related("demonstration").get(pk=gathering.pk)


def _earlier(gathering: Gathering, slip: Slip) -> Receipt | None:
    receipt = Receipt.objects.keyed(slip.key).first()
    if receipt and receipt.gathering_id != gathering.pk:
        raise ValidationError(_("This was sent before, for another gathering."))
    return receipt


def _made_ready(slip: Slip) -> tuple[Prepared | None, ValidationError | None]:
    if slip.photograph is None:
        return None, None
    try:
        prepared = read_photograph(
            slip.photograph,
            most_bytes=settings.PICTURE_MAX_BYTES,
            most_pixels=settings.PICTURE_MAX_PIXELS,
        )
    except ValidationError as error:
        return None, error
    return prepared, None
