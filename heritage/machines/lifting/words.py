"""Where the hands are, who lifts, and why there is no figure, in words."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.lifting import Outside, Reach, ScreeningNote, Unscreened, Who, Zone

ANYBODY: Final = "anybody"

ZONE_WORDS: Final[dict[Zone, str | Promise]] = {
    Zone.ABOVE_SHOULDER: _("above the shoulder"),
    Zone.SHOULDER_TO_ELBOW: _("from shoulder to elbow"),
    Zone.ELBOW_TO_KNUCKLE: _("from elbow to knuckle"),
    Zone.KNUCKLE_TO_MID_LEG: _("from hanging hand to mid-shin"),
    Zone.BELOW_MID_LEG: _("below mid-shin"),
}
REACH_WORDS: Final[dict[Reach, str | Promise]] = {
    Reach.CLOSE: _("close to the body"),
    Reach.ARMS_LENGTH: _("at arm's length"),
}
WHO_WORDS: Final[dict[str, str | Promise]] = {
    ANYBODY: _("anybody"),
    Who.WOMEN: _("women"),
    Who.MEN: _("men"),
}
NOTES: Final[dict[ScreeningNote, str | Promise]] = {
    ScreeningNote.OFTEN: _("%(percent).0f%% is taken off for how often it is done."),
    ScreeningNote.TWIST: _("%(percent).0f%% is taken off for the twist."),
    ScreeningNote.BOTH: _(
        "That both are taken off one after the other is our own rule."
    ),
}
TEAM_NOTES: Final[dict[int, str | Promise]] = {
    2: _("Two lift two thirds of what they lift one by one (HSE L23)."),
    3: _("Three lift half of what they lift one by one (HSE L23)."),
}
NOT_SCREENED: Final[dict[Unscreened, str | Promise]] = {
    Unscreened.POOR_GRIP: _(
        "The screening does not cover a lift where the grip is poor, as with wet hands "
        "or wet stone."
    ),
    Unscreened.ONE_HAND: _(
        "The screening does not cover a lift where it is done with one hand."
    ),
    Unscreened.UNSTABLE_STANCE: _(
        "The screening does not cover a lift where the stance is unsteady, as in water "
        "or on weed."
    ),
    Unscreened.REDUCED_CAPACITY: _(
        "The screening does not cover a lift where the lifter is unwell, pregnant or "
        "otherwise not at full strength."
    ),
}
NOT_BY_EQUATION: Final[dict[Outside, str | Promise]] = {
    Outside.ONE_HAND: _(
        "The equation does not cover a lift where it is done with one hand."
    ),
    Outside.OVER_8_HOURS: _(
        "The equation does not cover a lift where it goes on for more than eight hours."
    ),
    Outside.SEATED_OR_KNEELING: _(
        "The equation does not cover a lift where the lifter sits or kneels."
    ),
    Outside.CRAMPED: _(
        "The equation does not cover a lift where there is too little room."
    ),
    Outside.UNSTABLE_LOAD: _(
        "The equation does not cover a lift where the load shifts, as water and wet "
        "beets do."
    ),
    Outside.ON_THE_MOVE: _(
        "The equation does not cover a lift where the load is carried, pushed or "
        "pulled meanwhile."
    ),
    Outside.SHOVEL_OR_BARROW: _(
        "The equation does not cover a lift where a shovel or a barrow is used."
    ),
    Outside.FAST: _("The equation does not cover a lift where it is done fast."),
    Outside.POOR_FOOTING: _(
        "The equation does not cover a lift where the footing is wet, soft or slippery."
    ),
    Outside.HOT_COLD_OR_DAMP: _(
        "The equation does not cover a lift where it is much hotter, colder, drier or "
        "damper than indoors."
    ),
}
