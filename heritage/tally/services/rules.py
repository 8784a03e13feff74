"""What every line of the book is asked before it is written."""

from datetime import datetime, timedelta
from typing import Protocol

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from heritage.gatherings.models import Gathering
from heritage.people.models import Volunteer
from heritage.season.models import Plot

# People come early and begin: the book opens this long before the posted start.
BOOK_OPENS = timedelta(hours=2)


class Line(Protocol):
    """A line of the book: beets, or other work."""

    corrects_id: int | None


def hold(gathering: Gathering) -> None:
    """Let other writers of the gathering's book wait until this one is done."""
    Gathering.objects.select_for_update().get(pk=gathering.pk)


def require_open(gathering: Gathering, now: datetime) -> None:
    """Refuse what a gathering cannot have brought in."""
    if gathering.is_called_off:
        raise ValidationError(_("This gathering was called off: nothing was pulled."))
    if gathering.is_draft or now < gathering.starts_at - BOOK_OPENS:
        raise ValidationError(_("This gathering has not begun yet."))


def require_same_demonstration(
    gathering: Gathering, volunteer: Volunteer | None, plot: Plot | None = None
) -> None:
    """Refuse people and ground of somewhere else."""
    here = gathering.demonstration_id
    if volunteer and volunteer.demonstration_id != here:
        raise ValidationError(_("%s is not a volunteer here.") % volunteer)
    if plot and plot.demonstration_id != here:
        raise ValidationError({"plot": _("That plot is not in this field.")})


def require_correctable(line: Line, reason: str) -> None:
    """Refuse to correct a correction, or to correct without saying why."""
    if line.corrects_id:
        raise ValidationError(_("Correct the first line, not its correction."))
    if not reason.strip():
        raise ValidationError({"reason": _("Say why: the reason stays in the book.")})


def difference(*, right: int, said: int, field: str) -> int:
    """Return what a counter-line must hold to make a line right.

    Raises
    ------
    ValidationError
        By ``field``, if less than nothing is asked, or what the book says already.
    """
    if right < 0:
        raise ValidationError({field: _("It is never less than nothing.")})
    if right == said:
        raise ValidationError({field: _("The book says that already.")})
    return right - said
