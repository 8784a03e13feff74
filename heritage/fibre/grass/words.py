"""Why a day is proposed for turning, how to spread, and how to test on the grass."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.fibre import TurnReason

TURN_WORDS: Final[dict[TurnReason, str | Promise]] = {
    TurnReason.BY_DAYS: _("every fourth day or so"),
    TurnReason.BEFORE_RAIN: _("before rain comes"),
    TurnReason.SOAKED: _("sooner, since it rains day after day"),
    TurnReason.AFTER_WIND: _("once the wind has dropped"),
}
DEW_TURN_WORDS: Final = _("it's about halfway, and hasn't been turned")

_FLAX_SOCIETY: Final = _("from memory of the Flax Society's directions")
_ALL_FLAX_SOCIETY: Final = _("all from memory of the Flax Society's directions")
# Each with its source.
HOW_TO_SPREAD: Final = (
    (
        _("Short grass or heath. Long grass is bad."),
        _("early Encyclopaedia Britannica"),
    ),
    (
        _("So thin that the grass shows through. Not in a heavy shower."),
        _("Manual of Flax Culture; early Encyclopaedia Britannica"),
    ),
    (
        _(
            "Back to the wind, the windward row first, root ends one way. Each row "
            "lies 5 to 10 cm over the one before, and the last is held with a rope."
        ),
        _("Manual of Flax Culture; early Encyclopaedia Britannica"),
    ),
    (
        _("Don't let it dry in the beet: it doesn't separate afterwards."),
        _("Manual of Flax Culture"),
    ),
    (
        _("Turn it with a rod, 2 or 3 times in all, before rain if you can."),
        _FLAX_SOCIETY,
    ),
)
HOW_TO_TEST: Final = (
    (
        _(
            "Rub a stalk from root to top. It's enough when the wood breaks and "
            "leaves sound fibre."
        ),
        "",
    ),
    (
        _("Look for stalks where the fibre draws tight like a bow's string."),
        "",
    ),
    (_("The surest is to try some on the brake, dried."), _ALL_FLAX_SOCIETY),
)
STILL_RETS: Final = _(
    "It can go on retting while it's wet. Sun alone hardly rets it. If it's nearly "
    "ready and rain is on the way, bring it in."
)
BOTH_WAYS: Final = _(
    "Dam and dew are two ways to the same end, and neither is wrong. Dew takes from "
    "two weeks to two months, and longer in a dry or cool time."
)
GAITING: Final = _(
    "To dry it standing: set a beet on its butts, tie it loosely near the top and fan "
    "the butts out to a cone, so that air goes through (after a newspaper's picture of "
    "2020; the shape from memory)."
)
