"""Invitations and claims: made, withdrawn, and taken up once."""

from datetime import datetime, timedelta

from allauth.account.models import EmailAddress
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.rows import fill_in, lock
from heritage.people.invitations import mail
from heritage.people.letters import services as letters
from heritage.people.models import (
    AgeBand,
    Invitation,
    Letter,
    LetterState,
    User,
    Volunteer,
)
from heritage.people.particulars.services import Particulars, age_band_of
from heritage.people.services import join
from heritage.season.models import Demonstration

GOOD_FOR = timedelta(days=14)
# A sheet of paper waits longer for its reader than a letter does.
CLAIM_GOOD_FOR = timedelta(days=60)
MAY_HAVE_ACCOUNT = (AgeBand.FROM_16, AgeBand.ADULT)


@transaction.atomic
def invite(
    *,
    demonstration: Demonstration,
    email: str,
    by: User,
    now: datetime,
    as_organiser: bool = False,
) -> Invitation:
    """Invite somebody by e-mail, as a volunteer or as an organiser.

    Raises
    ------
    ValidationError
        If they are here already, or an invitation of theirs is still open.
    """
    lock(demonstration)
    _require_news(demonstration, email, as_organiser)
    _require_none_open(demonstration, email, as_organiser, now)
    invitation = Invitation(
        demonstration=demonstration,
        made_at=now,
        made_by=by,
        expires_at=now + GOOD_FOR,
    )
    fill_in(invitation, {"email": email, "as_organiser": as_organiser})
    subject, text = mail.invitation_letter(invitation)
    letters.write(
        demonstration=demonstration,
        key=_matter(invitation),
        about=_matter(invitation),
        volunteer=None,
        address=email,
        now=now,
        subject=subject,
        text=text,
    )
    return invitation


@transaction.atomic
def make_claim(*, volunteer: Volunteer, by: User, now: datetime) -> Invitation:
    """Make the private address by which somebody on paper takes up their own line.

    One stands for each person: a new one takes the place of a sheet that was lost.
    """
    lock(volunteer.demonstration)
    volunteer = Volunteer.objects.get(pk=volunteer.pk)
    _require_free(volunteer)
    if volunteer.age_band not in MAY_HAVE_ACCOUNT:
        raise ValidationError(
            _("%s is under 16, so they are on their guardian's page.") % volunteer
        )
    volunteer.invitations.open(now).update(withdrawn_at=now)
    invitation = Invitation(
        demonstration=volunteer.demonstration,
        made_at=now,
        made_by=by,
        expires_at=now + CLAIM_GOOD_FOR,
    )
    return fill_in(invitation, {"volunteer": volunteer})


@transaction.atomic
def withdraw_invitation(*, invitation: Invitation, now: datetime) -> Invitation:
    """Close an invitation that nobody has taken up."""
    invitation = _locked(invitation)
    if invitation.taken_at:
        raise ValidationError(
            _("It's been used already. Remove the person from the list instead.")
        )
    invitation.withdrawn_at = invitation.withdrawn_at or now
    invitation.save(update_fields=["withdrawn_at"])
    # A letter that still waits would invite in vain.
    waiting = (
        Letter.objects.of(invitation.demonstration).on(_matter(invitation)).unsent()
    )
    waiting.update(state=LetterState.OVERTAKEN)
    return invitation


@transaction.atomic
def take_up(
    *,
    invitation: Invitation,
    user: User,
    now: datetime,
    name: str = "",
    phone: str = "",
    age_band: str = AgeBand.ADULT,
    particulars: Particulars | None = None,
    notice: int | None = None,
) -> Volunteer:
    """Join by an invitation, or take up one's own line by a claim; once.

    Raises
    ------
    ValidationError
        If the invitation is closed, meant for another, or the account is here
        already under another line.
    """
    invitation = _locked(invitation)
    _require_open(invitation, now)
    if invitation.volunteer is not None:
        person = _take_up_line(invitation.volunteer, user)
    else:
        person = join(
            demonstration=invitation.demonstration,
            user=_required(invitation, user, age_band_of(age_band, particulars)),
            name=name,
            phone=phone,
            age_band=age_band,
            particulars=particulars,
            now=now,
            is_invited=True,
            notice=notice,
        )
        _make_organiser(invitation, person, now)
    fill_in(invitation, {"taken_at": now, "taken_by": user})
    return person


def _take_up_line(volunteer: Volunteer, user: User) -> Volunteer:
    _require_free(volunteer)
    other = user.volunteers.of(volunteer.demonstration).first()
    if other is not None:
        raise ValidationError(
            _(
                "You're on the list already, as %(mine)s. Ask the organiser to join "
                "%(mine)s and %(theirs)s. Nothing is lost."
            )
            % {"mine": other, "theirs": volunteer}
        )
    volunteer.user = user
    volunteer.email = volunteer.email or user.email
    volunteer.full_clean()
    volunteer.save(update_fields=["user", "email"])
    return volunteer


def _required(invitation: Invitation, user: User, age_band: str) -> User:
    """Return the account if the invitation is for it: an organiser's is for one."""
    if invitation.as_organiser and age_band != AgeBand.ADULT:
        raise ValidationError(_("An organiser must be 18 or over."))
    if invitation.as_organiser and not _reached_by(user, invitation.email):
        raise ValidationError(
            _(
                "This invitation was sent to another e-mail address. Sign in with "
                "that one, or ask the organiser to invite %s."
            )
            % user.email
        )
    return user


def _make_organiser(invitation: Invitation, person: Volunteer, now: datetime) -> None:
    if invitation.as_organiser and not person.is_organiser:
        person.hold_role(now)
        person.full_clean()
        person.save(update_fields=["is_organiser", "organiser_since"])


def _matter(invitation: Invitation) -> str:
    return f"invitation:{invitation.pk}"


def _reached_by(user: User, email: str) -> bool:
    verified = EmailAddress.objects.filter(user=user, verified=True)
    return email.casefold() in {row.email.casefold() for row in verified}


def _locked(invitation: Invitation) -> Invitation:
    """Read the invitation under its demonstration's lock."""
    lock(invitation.demonstration)
    rows = Invitation.objects.select_related("demonstration", "volunteer")
    return rows.get(pk=invitation.pk)


def _require_none_open(
    demonstration: Demonstration, email: str, as_organiser: bool, now: datetime
) -> None:
    waiting = demonstration.invitations.open(now).to(email)
    if waiting.filter(as_organiser=as_organiser).exists():
        words = _("%s has an open invitation. Withdraw it first, to send another.")
        raise ValidationError({"email": words % email})


def _require_open(invitation: Invitation, now: datetime) -> None:
    if trouble := invitation.trouble_at(now):
        raise ValidationError(trouble)


def _require_free(volunteer: Volunteer) -> None:
    if volunteer.left_at is not None:
        raise ValidationError(
            _("%s isn't on the list any more. Ask the organiser.") % volunteer
        )
    if volunteer.user_id is not None:
        raise ValidationError(
            _("%s already has an account. If that's you, sign in.") % volunteer
        )


def _require_news(demonstration: Demonstration, email: str, as_organiser: bool) -> None:
    """Refuse to invite somebody whose account is here already."""
    accounts = EmailAddress.objects.filter(email__iexact=email, verified=True)
    here = Volunteer.objects.of(demonstration).active()
    person = here.filter(user__in=accounts.values("user")).first()
    if person is None:
        return
    if not as_organiser or person.is_organiser:
        raise ValidationError({"email": _("%s is already on the list.") % person})
    raise ValidationError(
        {
            "email": _(
                "%s already has an account. Make them an organiser on their own page."
            )
            % person
        }
    )
