"""What is held of people, one row at a time."""

from datetime import date, timedelta
from typing import Any

from heritage.people.models import (
    AccountLetter,
    AgreedHow,
    Agreement,
    Competence,
    HealthNote,
    Invitation,
    Letter,
    Skill,
    Subject,
    Wording,
)
from tests.factories.core import (
    NOW,
    make_demonstration,
    make_user,
    make_volunteer,
    next_number,
)


def make_competence(**fields: Any) -> Competence:
    fields = {"title": f"Drives a tractor {next_number()}"} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Competence.objects.create(**fields)


def make_skill(**fields: Any) -> Skill:
    """Make a confirmed skill; ``confirmed_by=None`` leaves it only said."""
    if "volunteer" not in fields:
        fields["volunteer"] = make_volunteer()
    if "competence" not in fields:
        home = fields["volunteer"].demonstration
        fields["competence"] = make_competence(demonstration=home)
    if "confirmed_by" not in fields:
        fields["confirmed_by"] = make_user()
    fields.setdefault("said_at", NOW)
    fields.setdefault("confirmed_at", NOW if fields["confirmed_by"] else None)
    return Skill.objects.create(**fields)


def make_health_note(**fields: Any) -> HealthNote:
    fields = {
        "text": "Carries an inhaler in the left pocket.",
        "agreed_at": NOW,
        "delete_on": date(2026, 9, 30),
    } | fields
    if "volunteer" not in fields:
        fields["volunteer"] = make_volunteer()
    fields.setdefault("agreed_by", fields["volunteer"].user or make_user())
    return HealthNote.objects.create(**fields)


def make_wording(**fields: Any) -> Wording:
    fields = {
        "subject": Subject.PHOTOGRAPH,
        "number": 1,
        "text": "I may be shown in photographs of the work.",
        "published_at": NOW - timedelta(days=60),
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Wording.objects.create(**fields)


def make_agreement(**fields: Any) -> Agreement:
    fields = {"given_at": NOW, "how": AgreedHow.SCREEN} | fields
    if "volunteer" not in fields:
        fields["volunteer"] = make_volunteer()
    volunteer = fields["volunteer"]
    if "wording" not in fields:
        fields["wording"] = make_wording(demonstration=volunteer.demonstration)
    fields.setdefault("given_by", volunteer.user or make_user())
    return Agreement.objects.create(**fields)


def make_invitation(**fields: Any) -> Invitation:
    fields = {
        "email": f"asked{next_number()}@example.org",
        "made_at": NOW - timedelta(days=1),
        "expires_at": NOW + timedelta(days=13),
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "made_by" not in fields:
        fields["made_by"] = make_user()
    return Invitation.objects.create(**fields)


def make_account_letter(**fields: Any) -> AccountLetter:
    number = next_number()
    if "user" not in fields:
        fields["user"] = make_user()
    fields = {
        "key": f"account-letter-{number}",
        "address": fields["user"].email if fields["user"] else "x@example.org",
        "subject": "Your code to sign in",
        "queued_at": NOW,
        "try_at": NOW,
        "good_until": NOW + timedelta(minutes=15),
        "message_id": f"<{number}.letter@flax.example.org>",
    } | fields
    return AccountLetter.objects.create(**fields)


def make_letter(**fields: Any) -> Letter:
    number = next_number()
    fields = {
        "key": f"letter-{number}",
        "address": f"reader{number}@example.org",
        "subject": "Tomorrow evening",
        "text": "Bring gloves and water.",
        "queued_at": NOW,
        "try_at": NOW,
    } | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Letter.objects.create(**fields)
