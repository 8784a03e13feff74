"""Complaints: made by anybody, acknowledged in time, answered, and kept."""

from datetime import datetime, timedelta

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.people.models import User
from heritage.people.particulars.services import require_organiser
from heritage.privacy.models import Complaint, ComplaintStep
from heritage.season.models import Demonstration

# A gentle bound: so many in a day at one demonstration, from everybody together, and
# so many lines from the person who complained until an organiser has answered.
IN_A_DAY = 20
UNANSWERED = 5


@transaction.atomic
def complain(
    *,
    demonstration: Demonstration,
    about: str,
    now: datetime,
    name: str = "",
    contact: str = "",
    by: User | None = None,
) -> Complaint:
    """Take a complaint from anybody; its private address is given back with it.

    Raises
    ------
    ValidationError
        If it says nothing, or more came today than anybody can answer.
    """
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)
    rows = Complaint.objects.of(demonstration)
    if rows.since(now - timedelta(days=1)).count() >= IN_A_DAY:
        raise ValidationError(
            _(
                "We've had many complaints today. Try again tomorrow, or write to the "
                "organiser: the address is on the first page."
            )
        )
    row = Complaint(
        demonstration=demonstration,
        about=about.strip(),
        name=name,
        contact=contact,
        made_by=by,
        made_at=now,
    )
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def acknowledge(*, complaint: Complaint, by: User, now: datetime) -> Complaint:
    """Say that a complaint has been received and is looked at; once is enough."""
    complaint = _held(complaint)
    require_organiser(complaint.demonstration, by)
    if complaint.acknowledged_at is None:
        complaint.acknowledged_at, complaint.acknowledged_by = now, by
        complaint.full_clean()
        complaint.save(update_fields=["acknowledged_at", "acknowledged_by"])
    return complaint


@transaction.atomic
def answer(
    *, complaint: Complaint, text: str, by: User, now: datetime
) -> ComplaintStep:
    """Write what was done or found; an answer acknowledges the complaint too."""
    complaint = acknowledge(complaint=complaint, by=by, now=now)
    return _step(complaint, text, by, now)


@transaction.atomic
def add_to(*, complaint: Complaint, text: str, now: datetime) -> ComplaintStep:
    """Let the person who complained, and so has the private address, add to it."""
    complaint = _held(complaint)
    newest = list(complaint.steps.all())[-UNANSWERED:]
    if len(newest) == UNANSWERED and all(step.by_id is None for step in newest):
        raise ValidationError(
            {"text": _("Please wait for an answer before you write more.")}
        )
    return _step(complaint, text, None, now)


@transaction.atomic
def end(*, complaint: Complaint, outcome: str, by: User, now: datetime) -> Complaint:
    """End a complaint with what came of it; that it was ended stays to be read.

    Raises
    ------
    ValidationError
        If nothing is said of the outcome, or it has ended.
    """
    complaint = acknowledge(complaint=complaint, by=by, now=now)
    if complaint.closed_at:
        raise ValidationError(_("This complaint has ended."))
    if not outcome.strip():
        raise ValidationError({"outcome": _("Enter the outcome.")})
    complaint.outcome, complaint.closed_at = outcome.strip(), now
    complaint.full_clean()
    complaint.save(update_fields=["outcome", "closed_at"])
    return complaint


def _held(complaint: Complaint) -> Complaint:
    rows = Complaint.objects.select_for_update(of=("self",))
    return rows.select_related("demonstration").get(pk=complaint.pk)


def _step(
    complaint: Complaint, text: str, by: User | None, now: datetime
) -> ComplaintStep:
    if complaint.closed_at:
        raise ValidationError(_("This complaint has ended. Make a new one."))
    step = ComplaintStep(complaint=complaint, text=text.strip(), by=by, at=now)
    step.full_clean()
    step.save()
    return step
