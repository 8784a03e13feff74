"""What to do about the stones, said for each code of `calc.dam`."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.dam import StoneAct

STONE_ACTS: Final[dict[StoneAct, str | Promise]] = {
    StoneAct.PUT_ON: _(
        "Put more on: about %(likely)d stones of %(each)s kg, from %(low)d to %(high)d."
    ),
    StoneAct.RISEN: _(
        "The flax was seen to rise. Put stones on until none of it shows: by the "
        "figures about %(likely)d more of %(each)s kg, up to %(high)d."
    ),
    StoneAct.LEAVE: _("That is within what the figures ask. Leave them, and watch it."),
    StoneAct.MORE_THAN_ENOUGH: _(
        "That is more than the highest figure. Take some off only if you see the flax "
        "sink too deep."
    ),
    StoneAct.TAKE_OFF: _(
        "By the test book its working is over. Take them off, a few at a time, and "
        "put them back if it rises."
    ),
    StoneAct.NONE: _("By the test book its working is over, and none lie on it."),
}

UNKNOWN: Final = _(
    "Add a water temperature, or say what you see (bubbles, rising, sinking), "
    "and figures stand here."
)

WHO_LIFTS: Final[dict[int, str | Promise]] = {
    0: _("nobody: slide, roll or lever it"),
    1: _("one"),
    2: _("two, with one caller"),
    3: _("three, with one caller"),
}
