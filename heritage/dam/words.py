"""The dam's cautions, how a ret is tested, and what is said beside its dates."""

from typing import Final, Literal, NamedTuple

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.dam import Phase
from heritage.calc.retting import LiftReason, RetWarning, SignKind

UNREAD: Final = _(
    "The water has not been read yet: without a reading no day can be told."
)

RET_WARNINGS: Final[dict[RetWarning, str | Promise]] = {
    RetWarning.PAST_LIKELY: _(
        "The likely day has passed. A day too long weakens the fibre: test now, and "
        "again every %(test_every)d hours by daylight."
    ),
    RetWarning.ONCE_A_DAY_IS_TOO_FEW: _(
        "One look a day is too few from here on: the crop can pass its best between "
        "two evenings. Test every %(test_every)d hours by daylight."
    ),
    RetWarning.NO_DATE: _(
        "The water falls to %(coldest).0f °C. Below %(below).0f °C no date can be told."
    ),
    RetWarning.FAR_TOO_COLD: _(
        "The water falls to %(coldest).0f °C, far colder than any ret the curve was "
        "fitted to. Take the dates as a guess."
    ),
    RetWarning.COLD: _(
        "The water falls to %(coldest).0f °C. Below %(below).0f °C the curve is "
        "stretched, and the ret may take twice as long."
    ),
    RetWarning.TOO_HOT: _(
        "The water reaches %(warmest).0f °C: too hot for a good ret."
    ),
    RetWarning.NO_FASTER: _(
        "The water reaches %(warmest).0f °C. Above %(above).0f °C it is not taken to "
        "ret any faster."
    ),
    RetWarning.GAP: _(
        "For %(hours).0f hours there was no reading: the course between them is a "
        "guess."
    ),
    RetWarning.EVENINGS_ONLY: _(
        "Every reading was taken in the evening, when the water is warmest. So the "
        "day's swing is taken out: 1.5 °C at five o'clock, less before and after. That "
        "is our judgement; a reading in the morning too needs no such thing."
    ),
    RetWarning.NO_OUTLOOK: _(
        "No forecast yet, so this assumes the water stays at %(temp_c).1f °C, the mean "
        "of the last day read."
    ),
}

LIFT_REASONS: Final[dict[LiftReason, str | Promise]] = {
    LiftReason.NO_TEST: _("No core was drawn at mid-stalk yet."),
    LiftReason.TOO_FEW_FREE: _(
        "At the last test %(free)d of %(stems)d stems drew free at mid-stalk; at least "
        "six in ten are needed."
    ),
    LiftReason.ENOUGH_FREE: _(
        "At the last test %(free)d of %(stems)d stems drew free at mid-stalk: six in "
        "ten are enough."
    ),
    LiftReason.EARLY_COSTS_MORE: _(
        "By all tests, %(not_ready).0f chances in a hundred that it isn't ready and "
        "%(past).0f that it is past its best: too soon. A day late counts as "
        "%(late).0f visits, a day early as %(early).0f."
    ),
    LiftReason.LATE_COSTS_MORE: _(
        "By all tests, %(not_ready).0f chances in a hundred that it isn't ready and "
        "%(past).0f that it is past its best: waiting costs more. A day late counts "
        "as %(late).0f visits, a day early as %(early).0f."
    ),
    LiftReason.UNLIKE_OTHERS: _(
        "By its tests this ret takes %(times).1f times as long as most: check the "
        "thermometer and the water, and let a second person test."
    ),
}

PHASE_WORDS: Final[dict[Phase, str | Promise]] = {
    Phase.DRY: _("first hours, if the flax went in dry"),
    Phase.GREEN: _("first day, if the flax went in green"),
    Phase.GASSING: _("while it works and gasses, in mid-ret"),
    Phase.END: _("at the end, once you have seen it sink"),
}


class Danger(NamedTuple):
    """One caution: its mark, what it is about, and what to do."""

    mark: Literal["warning", "prohibition", "mandatory"]
    heading: str | Promise
    text: str | Promise


# The gravest first.
CAUTIONS: Final = (
    Danger(
        "warning",
        _("deep water"),
        _(
            "Nobody goes into the water alone, tired, after sunset or without a "
            "briefing. "
            "Somebody stays on the bank and watches. If a person is in trouble, "
            "call the emergency number (999 or 112 in the United Kingdom and "
            "Ireland), talk, reach or throw. Do not jump in."
        ),
    ),
    Danger(
        "warning",
        _("stones"),
        _(
            "Wet stones slip and crush. Agree one caller, wear boots and gloves, "
            "and anybody may refuse a lift. No figure is given for lifting in the "
            "dam: the method does not cover wet, slippery or unsteady lifts."
        ),
    ),
    Danger(
        "prohibition",
        _("Don't let the water out"),
        _(
            "Retting water kills fish. Do not release it to a ditch, a drain or a "
            "river; ask the people who look after your rivers first: the environment "
            "agency or the council."
        ),
    ),
    Danger(
        "mandatory",
        _("Cover cuts and wash"),
        _(
            "Cover cuts, and wash your hands before you eat. If you fall ill "
            "within three weeks of work in the dam, tell your doctor about the "
            "water."
        ),
    ),
)


_FLAX_SOCIETY: Final = _("Flax Society's directions, as reprinted in 1846")
# Each step with its source.
TEST_STEPS: Final = (
    (
        _(
            "Draw stalks from several beets and several places, without leaning "
            "over the water."
        ),
        _("Manual of Flax Culture, 19th century"),
    ),
    (
        _(
            "Take a stalk of middling thickness. Break its wood in two places at "
            "mid-stalk, 15 to 20 cm apart."
        ),
        _FLAX_SOCIETY,
    ),
    (
        _(
            "Pull the piece of wood downwards. If it draws out freely for its "
            "whole length, tears no fibre and brings none with it, that stalk is "
            "ready."
        ),
        _FLAX_SOCIETY,
    ),
    (
        _("Dry a few stalks and try them as well before anybody decides."),
        _("Pittsburgh Gazette, 12 September 1823"),
    ),
    (
        _(
            "Once the working of the water dies down, test every six hours: the "
            "change can be sudden, and a few hours too many may harm it. Only by "
            "daylight: that's our own rule."
        ),
        _FLAX_SOCIETY,
    ),
    (
        _(
            "When the flax sinks, look at least twice a day. A single day too long "
            "often harms it."
        ),
        _("Ure, Dictionary of Arts"),
    ),
)


class KindOfTest(NamedTuple):
    """One kind of test: what it is called, how it is done, and who says so."""

    name: str | Promise
    how: str | Promise
    source: str | Promise


_URE: Final = _("Ure, Dictionary of Arts")
# The one that decides comes first; those seen from the bank come last.
KINDS: Final[dict[SignKind, KindOfTest]] = {
    SignKind.CORE: KindOfTest(
        _("Does the wood draw out?"),
        _("Enter how many stems did what. Five from several beets tell more than one."),
        _FLAX_SOCIETY,
    ),
    SignKind.BREAK: KindOfTest(
        _("Does the wood snap?"),
        _("Bend the wood of each stem. Ready wood breaks and doesn't bend."),
        _URE,
    ),
    SignKind.RING: KindOfTest(
        _("How does it sound?"),
        _(
            "Jerk the fibre of one stem gently by your ear, held 15 cm apart. Soft is "
            "ready, sharp is not."
        ),
        _("Spon's Encyclopaedia"),
    ),
    SignKind.KNOTTED: KindOfTest(
        _("Do knotted stalks sink?"),
        _("Knot a few stalks each by itself and drop them in the water."),
        _URE,
    ),
    SignKind.BUBBLES: KindOfTest(
        _("Bubbles"),
        _(
            "Note when you first see them. Only then does it mean something when they "
            "stop."
        ),
        _FLAX_SOCIETY,
    ),
    SignKind.BUNDLE: KindOfTest(
        _("Has the flax risen, or sunk?"),
        _("Once it sinks by itself, look at least twice a day."),
        _URE,
    ),
    SignKind.SLIMY: KindOfTest(
        _("Are the stalks slimy?"),
        _("Feel a few from the bank. It says less than the others."),
        _("spinners' own reports"),
    ),
}
