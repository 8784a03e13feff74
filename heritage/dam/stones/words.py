"""What to do about the stones, said for each code of `calc.dam`."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.dam import StoneAct

STONE_ACTS: Final[dict[StoneAct, str | Promise]] = {
    StoneAct.PUT_ON: _(
        "Put more on: about %(likely)d stones of %(each)s kg. It could be %(low)d or "
        "%(high)d, so stop when no flax shows."
    ),
    StoneAct.RISEN: _(
        "The flax has risen. Put stones on until none of it shows: perhaps %(likely)d "
        "more of %(each)s kg, at most %(high)d."
    ),
    StoneAct.LEAVE: _("That should be enough. Leave them, and watch the flax."),
    StoneAct.MORE_THAN_ENOUGH: _(
        "That's more than it should need. Take some off only if you see the flax sink "
        "too deep."
    ),
    StoneAct.TAKE_OFF: _(
        "The tests say it has stopped working. Take them off, a few at a time, and "
        "put them back if the flax rises."
    ),
    StoneAct.NONE: _("The tests say it has stopped working, and there are none on it."),
}

UNKNOWN: Final = _(
    "Add a water temperature, or say what you see (bubbles, rising, sinking), to get "
    "a figure."
)

WHO_LIFTS: Final[dict[int, str | Promise]] = {
    0: _("nobody: slide, roll or lever it"),
    1: _("one"),
    2: _("two, with one caller"),
    3: _("three, with one caller"),
}
