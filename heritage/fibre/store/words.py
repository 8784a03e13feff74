"""How dry is dry enough, what a stack's signs mean, and the cautions about fire."""

from typing import Final, Literal, NamedTuple

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.fibre import Dryness, Heat, HeatSign

DRYNESS_WORDS: Final[dict[Dryness, str | Promise]] = {
    Dryness.BREAK: _("dry enough to break"),
    Dryness.STACK: _("dry enough to stack, not yet to break"),
    Dryness.SPREAD_AGAIN: _("too damp to stack: dry it longer"),
    Dryness.NEVER_STACK: _("far too damp: never stack it like this"),
}
HEAT_WORDS: Final[dict[Heat, str | Promise]] = {
    Heat.FINE: _("The store is as it should be."),
    Heat.WATCH: _(
        "Watch the store, and look again within 4 hours. Don't open it while it's warm "
        "inside. If it gets warmer, ask the fire service."
    ),
    Heat.STOP: _(
        "Danger of fire. Keep everybody away and call the fire service now. Don't open "
        "the stack, and don't pull it apart."
    ),
}
SIGN_WORDS: Final[dict[HeatSign, str | Promise]] = {
    HeatSign.HOT: _("it's 55 °C or more inside: it can catch fire by itself"),
    HeatSign.WARM: _("it's 50 °C or more inside"),
    HeatSign.CARAMEL: _("it smells of caramel or tobacco: it's heating"),
    HeatSign.MUSTY: _("it smells musty: it's damp somewhere"),
    HeatSign.SMOKE: _("it smells of smoke or burning"),
    HeatSign.DAMP: _("some of it holds more than 15 % water"),
}


class Danger(NamedTuple):
    """One caution: its mark, what it is about, and what to do."""

    mark: Literal["warning", "prohibition", "mandatory", "fire"]
    heading: str | Promise
    text: str | Promise


# The gravest first. Figures after the fire services' advice for hay and straw.
CAUTIONS: Final = (
    Danger(
        "fire",
        _("a hot stack"),
        _(
            "At 55 °C inside, or with a smell of caramel or smoke, it can catch fire. "
            "Keep away and call the fire service (999 or 112 in the United Kingdom and "
            "Ireland). Never open a hot stack without them."
        ),
    ),
    Danger(
        "warning",
        _("damp straw heats"),
        _(
            "Stack it only at 15 % water or less. Damp straw heats within 3 to 7 days "
            "and may burn up to ten weeks later."
        ),
    ),
    Danger(
        "prohibition",
        _("No smoking and no flame"),
        _("No fire, no hot exhaust and no drying over a fire near straw, tow or dust."),
    ),
    Danger(
        "mandatory",
        _("Keep stacks apart"),
        _(
            "Ten metres or more from the next stack, from buildings, roads and "
            "overhead lines."
        ),
    ),
)
DEFER: Final = _("Ask your local fire service: where they are stricter, they win.")
LIMITS: Final = _(
    "We found no printed limit for flax straw. These are the strictest for hay and "
    "straw: fire services of Northern Ireland, Mid and West Wales, Northamptonshire "
    "and Norfolk."
)
HOW_TO_DRY_TEST: Final = (
    _(
        "By hand: break some stalks from the middle of the bundle. Dry wood cracks and "
        "falls from the fibre; damp wood bends. (Common practice, no source.)"
    ),
    _(
        "By weight: mark one bundle whose moisture you know, weigh it, and weigh it "
        "again. What it loses is water."
    ),
    _(
        "By oven: weigh a sample, dry it at 105 °C until it loses no more, and weigh "
        "it again (ISO 18134-1). Don't leave it alone."
    ),
)
HOW_TO_LOOK: Final = (
    _("Never alone, and never climb on a stack: it may be hollow inside."),
    _("Air: is it clear under the stack and through it, and dry above?"),
    _("Heat: push a thermometer on a rod into the middle and wait. Not your hand."),
    _("Smell: sweet is dry, musty is damp, caramel or tobacco is heating."),
)
