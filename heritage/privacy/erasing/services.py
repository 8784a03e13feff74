"""Asking to be erased, taking that back, and carrying it out.

An organiser carries it out, not the person alone: places pass on, a claim may hold
something, and a borrowed telephone must not be able to do what cannot be undone.

The sealed book is never opened for it: lines stay under `NOBODY`. An account is
emptied, not deleted, for its rows keep their writer; one used elsewhere stays its
owner's. How many places in others' words were left, of which kind and why, is kept,
never where or the name.

An erasing holds gatherings, the demonstration, rets, people and their letters, in this
order, and is refused for ten minutes while a letter is in the mail server's hands; one
left half-way longer ago has no worker any more. The demonstration is held without its
key (``no_key``), so that a row that only points to it never waits for it.
"""

from collections import Counter
from datetime import datetime

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _

from heritage.common.models import private_key
from heritage.common.privacy import Deleted
from heritage.common.questions import Question
from heritage.dam.treading import services as dams
from heritage.fieldlog.models import Receipt
from heritage.gatherings.ground import services as gatherings
from heritage.gatherings.places import services as places_services
from heritage.people.models import AccountLetter, AgeBand, User, Volunteer
from heritage.people.particulars.services import (
    require_organiser,
    require_own_word_or_organiser,
)
from heritage.pictures import services as pictures
from heritage.printing.services import drop_all
from heritage.privacy.erasing.selectors import (
    erasing,
    everybody_of,
    has_other_lines,
    letters_of,
    of_lines,
    places_to_come,
    rows_of,
)
from heritage.privacy.models import Erasure
from heritage.privacy.searching.selectors import named, names_them
from heritage.privacy.selectors import sources
from heritage.season.models import Demonstration

# Asked once somebody is erased: copies elsewhere must not keep them.
somebody_erased: Question[[Demonstration], None] = Question(
    "Nobody says what must go where somebody is erased."
)
# Under this name stand the rows that must stay. RFC 2606 keeps ".invalid" for
# addresses that can never be anybody's.
NOBODY = "Somebody who was erased"
NOWHERE = "erased-%s@nobody.invalid"


@transaction.atomic
def ask_erasure(*, volunteer: Volunteer, by: User, now: datetime) -> Erasure:
    """Write down that somebody asks to be erased; asking twice is asking once.

    Raises
    ------
    ValidationError
        If they may not ask it, or it has been done.
    """
    _hold(volunteer.demonstration)
    require_own_word_or_organiser(volunteer, by)
    earlier = Erasure.objects.open().about(volunteer).first()
    if earlier:
        return earlier
    if not Volunteer.objects.standing().of_keys([volunteer.pk]).exists():
        raise ValidationError(
            _("This person was already deleted or joined with another.")
        )
    row = Erasure(
        demonstration=volunteer.demonstration,
        volunteer=volunteer,
        asked_at=now,
        asked_by=by,
    )
    row.full_clean()
    row.save()
    return row


@transaction.atomic
def take_back_erasure(*, erasure: Erasure, by: User, now: datetime) -> Erasure:
    """Take the asking back, as long as it has not been carried out."""
    _hold(erasure.demonstration)
    erasure = _fresh(erasure)
    require_own_word_or_organiser(erasure.volunteer, by)
    if erasure.carried_out_at:
        raise ValidationError(_("It's done, and can't be undone."))
    erasure.taken_back_at = erasure.taken_back_at or now
    erasure.save(update_fields=["taken_back_at"])
    return erasure


@transaction.atomic
def carry_out_erasure(
    *, erasure: Erasure, by: User, now: datetime, why_left: str = ""
) -> Erasure:
    """Erase somebody: everything that may go goes, in one stroke, for good.

    Others' words are not rewritten. Where they name the person and could have been
    changed, ``why_left`` says why they were not; it is kept with what stays.

    Raises
    ------
    ValidationError
        If it was taken back, something must be settled first, nobody says why a
        name is left in others' words, or a letter is on its way to them just now.
    """
    gatherings.lock_gatherings(erasure.demonstration)
    _hold(erasure.demonstration)
    require_organiser(erasure.demonstration, by)
    erasure = _fresh(erasure)
    if erasure.carried_out_at:
        return erasure
    if erasure.taken_back_at:
        raise ValidationError(_("They have taken it back."))
    person = erasure.volunteer
    page = erasing(person, now)
    if page.hindered:
        raise ValidationError([one.words for one in page.hindered])
    left = _left_in_words(person, why_left)
    _hold_person(person, now)
    for place in places_to_come(person, now):
        places_services.give_up(sign_up=place, by=by, now=now)
    _take_out(person, now)
    _close_account(person)
    _blank(person, now)
    erasure.gone = [list(pair) for pair in page.goes]
    erasure.kept = [[kept.what, kept.rows, kept.why] for kept in page.stays] + left
    erasure.carried_out_at, erasure.carried_out_by = now, by
    erasure.full_clean()
    erasure.save()
    drop_all(demonstration=erasure.demonstration)
    somebody_erased(erasure.demonstration)
    return erasure


def _hold(demonstration: Demonstration) -> None:
    Demonstration.objects.select_for_update(no_key=True).get(pk=demonstration.pk)


def _fresh(erasure: Erasure) -> Erasure:
    rows = Erasure.objects.select_related("volunteer__user", "demonstration")
    return rows.get(pk=erasure.pk)


def _hold_person(person: Volunteer, now: datetime) -> None:
    """Let nothing be written or sent to somebody any more; refuse amid a sending.

    A worker takes a letter by changing its row, and a letter is written under the
    lock on its reader: what has neither yet finds nobody once this is committed.
    """
    dams.lock_rets(person.demonstration)
    keys = everybody_of(person)
    list(Volunteer.objects.of_keys(keys).select_for_update().order_by("pk"))
    mine = letters_of(person, keys).select_for_update(of=("self",))
    closing = None if has_other_lines(person) else person.user_id
    account = AccountLetter.objects.of_user(closing).select_for_update(of=("self",))
    # Both are read anew and held, in their order, before either is looked at.
    letters, notices = list(mine.order_by("pk")), list(account.order_by("pk"))
    going = [row.is_on_its_way(now) for row in letters]
    going += [row.is_on_its_way(now) for row in notices]
    if any(going):
        raise ValidationError(
            _("An e-mail to %s is on its way. Wait ten minutes, then delete.") % person
        )


def _left_in_words(person: Volunteer, why_left: str) -> list[list[object]]:
    """Say in how many rows of others' words the name is left, and why; not where."""
    names = named(person)
    if names.asks_why and not why_left.strip():
        raise ValidationError(
            {
                "why_left": _(
                    "Their name is still in some texts. Change them, or say why they "
                    "stay."
                )
            }
        )
    if names_them(person, why_left):
        raise ValidationError(
            {"why_left": _("Leave out the name: we keep these words.")}
        )
    count = Counter(
        (str(place.source.what), str(place.source.stays or why_left.strip()))
        for place in names.surely
    )
    words = _("the name, in words that others wrote: %s")
    return [[words % what, rows, why] for (what, why), rows in count.items()]


def _take_out(person: Volunteer, now: datetime) -> None:
    """Take the person out of the rows that stay, and delete those that go.

    What was just given up stays until the queue's letters are out; it goes by rule.
    """
    keys = everybody_of(person)
    for key in keys:
        dams.leave_treading(volunteer_key=key, now=now)
    pictures.hide_for_good(volunteer=person, now=now)
    person.steward_posts.update(volunteer=None)
    Receipt.objects.filter(volunteer__in=keys).update(words=NOBODY)
    for source, erased in of_lines():
        if isinstance(erased, Deleted):
            rows_of(source, erased, person, keys, now).delete()


def _close_account(person: Volunteer) -> None:
    """Empty the account, unless it is used elsewhere; its rows keep their writer."""
    user = person.user
    if user is None or has_other_lines(person):
        return
    for source in sources():
        if source.is_of_account and isinstance(source.about.erased, Deleted):
            source.model._default_manager.filter(**{source.field: user}).delete()
    user.email, user.name, user.is_active = NOWHERE % user.pk, NOBODY, False
    user.set_unusable_password()
    user.save(update_fields=["email", "name", "is_active", "password"])


def _blank(person: Volunteer, now: datetime) -> None:
    """Leave of the line only its number, for the rows that stay."""
    rows = Volunteer.objects.filter(pk__in=everybody_of(person))
    rows.filter(left_at__isnull=True).update(left_at=now)
    rows.update(
        name=NOBODY,
        email="",
        phone="",
        age_band=AgeBand.ADULT,
        born_on=None,
        guardian=None,
        emergency_name="",
        emergency_phone="",
        is_organiser=False,
        organiser_since=None,
        user=None,
        erased_at=now,
    )
    person.refresh_from_db()
    person.calendar_key = private_key()
    person.full_clean()
    person.save(update_fields=["calendar_key"])
