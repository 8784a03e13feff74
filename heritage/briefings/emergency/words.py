"""What a store of petrol asks for, in sentences."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.risk import Petrol, PetrolAnswer

_PETROL: Final[dict[Petrol, str | Promise]] = {
    Petrol.FREE: _(
        "Up to %(limit_l).0f L may be kept without notice, in cans of at most 10 L "
        "(plastic) or 20 L (metal)."
    ),
    Petrol.NOTIFY: _("Above %(limit_l).0f L the petroleum authority must be told."),
    Petrol.REFUSE: _(
        "More than %(limit_l).0f L must not be kept away from a licensed place."
    ),
    Petrol.ASK: _(
        "We don't know the petrol rules here. Ask the local petroleum authority."
    ),
}


def petrol_words(answer: PetrolAnswer) -> str:
    """Say what a store of petrol asks for."""
    return str(_PETROL[answer.verdict]) % {"limit_l": answer.limit_l}
