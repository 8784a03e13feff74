"""What is said first at the brake, the stock and the hackle; where figures are from."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.fibre import Basis
from heritage.fibre.models import Work
from heritage.fibre.store.words import Danger

# The gravest first.
CAUTIONS: Final = (
    Danger(
        "warning",
        _("flax dust harms the chest"),
        _(
            "We know of no safe amount. Work outdoors or in a draught, upwind, in "
            "short turns, with a mask that fits (FFP2 or FFP3). With asthma, stay "
            "away. A tight chest, a cough or short breath: stop, and see a doctor."
        ),
    ),
    Danger(
        "warning",
        _("machines, blades and pins"),
        _(
            "No machine runs without its guards, checked today. Stop it and take the "
            "key before you touch a jam. Keep fingers off the brake's jaws and the "
            "hackle's pins, and cover the pins when you leave them."
        ),
    ),
    Danger(
        "fire",
        _("dust and tow"),
        _(
            "No smoking, no flame and no sparks. Never work in a closed shed: dust in "
            "the air can explode."
        ),
    ),
    Danger(
        "mandatory",
        _("Take breaks"),
        _(
            "Change over every 20 to 30 minutes, wear eye protection, tie hair back, "
            "and sweep damp, not dry. Keep visitors back and upwind."
        ),
    ),
)
# What the breaks rest on, and what is known of the dust.
DUST_FACTS: Final = _(
    "In twelve flax mills people breathed 22 to 144 mg of dust in each cubic metre, "
    "and one in five had a cough (British Journal of Industrial Medicine 45, 1988). "
    "Men who worked 2 to 3 months a year for up to three years breathed less well "
    "after a Monday's shift (Thorax 28, 1973). We found no limit for flax. The length "
    "of a turn is our own rule."
)

BASIS_WORDS: Final[dict[Basis, str | Promise]] = {
    Basis.RIBE: _(
        "Four lots scutched by hand at Ribe lost 16 to 31 % (report of 2011); the 50 % "
        "is our own end."
    ),
    Basis.HACKLERS: _(
        "Dodge (1898) got 62 % and 47 %, an American cyclopaedia (1879) half by hand; "
        "40 to 70 % is our own range."
    ),
    Basis.RECKONED: _(
        "We found nothing in print. This is worked back from what is scutched of "
        "retted straw (10 to 25 %), so it's a guess."
    ),
}
ONWARD_WORDS: Final[dict[Work, str | Promise]] = {
    Work.BREAKING: _("broken flax"),
    Work.SCUTCHING: _("scutched fibre"),
    Work.HACKLING: _("hackled line"),
}
IN_WORDS: Final[dict[Work, str | Promise]] = {
    Work.BREAKING: _("retted straw"),
    Work.SCUTCHING: _("broken flax"),
    Work.HACKLING: _("scutched fibre"),
}
STEPS: Final[dict[Work, tuple[str | Promise, ...]]] = {
    Work.BREAKING: (
        _("Break it only when it cracks dry, 12 % water or less."),
        _("Open brake first, then the close one; turn the handful as you go."),
        _("Shake the shive out, and keep the roots all one way."),
    ),
    Work.SCUTCHING: (
        _("Hold a handful over the board and strike down along it, never towards you."),
        _("Turn it, then change ends. Keep the tow that falls apart from the shive."),
    ),
    Work.HACKLING: (
        _("Coarse pins first, then middling, then fine. Begin at the tips."),
        _("Draw gently: what stays in your hand is line, what stays in the pins tow."),
    ),
}
