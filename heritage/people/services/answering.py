"""Who answers for whom: oneself, a guardian for a child, an organiser on paper."""

from datetime import datetime

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from heritage.people.models import User, Volunteer
from heritage.season.models import Demonstration

# Under this age a parent or guardian agrees, not the child: child-protection
# guidance (facts on data protection); the university guidance that says 13 is laxer.
OWN_WORD = 16


def organises(demonstration: Demonstration, by: User) -> bool:
    """Tell whether somebody organises a demonstration."""
    return Demonstration.objects.managed_by(by).filter(pk=demonstration.pk).exists()


def is_own_or_guardian(volunteer: Volunteer, by: User) -> bool:
    """Tell whether somebody is the volunteer, or the adult who answers for them."""
    mine = by.volunteers.active().of(volunteer.demonstration).first()
    if mine is None or volunteer.left_at:
        return False
    return mine.pk in (volunteer.pk, volunteer.guardian_id)


def require_own_word(volunteer: Volunteer, by: User) -> None:
    """Refuse anybody but the volunteer and the adult who answers for them."""
    if not is_own_or_guardian(volunteer, by):
        raise ValidationError(
            _("Only %s, or the adult who answers for them, may say this.") % volunteer
        )


def require_own_word_or_organiser(volunteer: Volunteer, by: User) -> None:
    """Refuse anybody but the volunteer, their guardian and the organisers."""
    if not organises(volunteer.demonstration, by):
        require_own_word(volunteer, by)


def require_organiser(demonstration: Demonstration, by: User) -> None:
    """Refuse anybody but the organisers."""
    if not organises(demonstration, by):
        raise ValidationError(_("Only an organiser may do this."))


def require_old_enough_to_agree(volunteer: Volunteer, by: User, now: datetime) -> None:
    """Refuse a child's own word where their guardian's is needed."""
    day = now.astimezone(volunteer.demonstration.zone).date()
    if by.pk == volunteer.user_id and volunteer.age_on(day) < OWN_WORD:
        raise ValidationError(
            _("Under %(years)d, the adult who answers for %(who)s agrees for them.")
            % {"years": OWN_WORD, "who": volunteer}
        )
