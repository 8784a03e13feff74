"""Complaints as the organiser and the person who complained see them."""

from dataclasses import dataclass
from datetime import date, datetime

from django.utils.formats import date_format

from heritage.privacy.models import Complaint, Erasure
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class ComplaintLine:
    """One complaint, with the days left to acknowledge it."""

    complaint: Complaint
    days_left: int | None

    @property
    def day(self) -> str:
        """The day it was made, by which a long list is parted."""
        return date_format(self.complaint.made_at, "j M Y")

    @property
    def is_late(self) -> bool:
        return self.days_left is not None and self.days_left < 0

    @property
    def days_late(self) -> int:
        return -(self.days_left or 0)


@dataclass(frozen=True, slots=True)
class ComplaintsPage:
    """Every complaint, those to acknowledge first."""

    waiting: tuple[ComplaintLine, ...]
    open: tuple[ComplaintLine, ...]
    ended: tuple[ComplaintLine, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What waits for the organisers' answer."""

    days_left: int | None
    erasures: int


def asked_of_us(demonstration: Demonstration, now: datetime) -> Asked:
    """Say how long the oldest complaint has left, and who would be erased."""
    first = Complaint.objects.of(demonstration).waiting().oldest_first().first()
    day = now.astimezone(demonstration.zone).date()
    if first:
        first.demonstration = demonstration
    return Asked(
        days_left=first.days_left(day) if first else None,
        erasures=Erasure.objects.of(demonstration).open().count(),
    )


def complaints_page(demonstration: Demonstration, now: datetime) -> ComplaintsPage:
    """List the complaints: one query."""
    day = now.astimezone(demonstration.zone).date()
    rows = Complaint.objects.of(demonstration).select_related("demonstration")
    lines = [complaint_line(row, day) for row in rows.oldest_first()]
    return ComplaintsPage(
        waiting=tuple(line for line in lines if line.days_left is not None),
        open=tuple(
            line
            for line in lines
            if line.days_left is None and line.complaint.closed_at is None
        ),
        ended=tuple(line for line in lines if line.complaint.closed_at),
    )


def complaint_line(complaint: Complaint, day: date) -> ComplaintLine:
    """Say how many days are left; none once it is acknowledged."""
    left = None if complaint.acknowledged_at else complaint.days_left(day)
    return ComplaintLine(complaint, left)
