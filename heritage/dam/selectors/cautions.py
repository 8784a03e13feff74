"""What every page and sheet about a dam says beside its figures."""

from typing import Literal, NamedTuple

from django.utils.translation import gettext as _


class Danger(NamedTuple):
    """One caution: its mark, what it is about, and what to do."""

    mark: Literal["warning", "prohibition", "mandatory"]
    heading: str
    text: str


def cautions() -> tuple[Danger, ...]:
    """Return the dam's cautions, the gravest first."""
    return (
        Danger(
            "warning",
            _("deep water"),
            _(
                "Nobody goes into the water alone, tired, unbriefed or after dark. "
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
            _("do not release the water"),
            _(
                "Retting water kills fish. Do not release it to a ditch, a drain or a "
                "river; ask the regulator first."
            ),
        ),
        Danger(
            "mandatory",
            _("cover cuts and wash"),
            _(
                "Cover cuts, and wash your hands before you eat. If you fall ill "
                "within three weeks of work in the dam, tell your doctor about the "
                "water."
            ),
        ),
    )


def test_steps() -> tuple[tuple[str, str], ...]:
    """Return how a ret is tested, in plain words, each step with its source."""
    flax_society = _("Flax Society's directions, as reprinted in 1846")
    return (
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
            flax_society,
        ),
        (
            _(
                "Pull the piece of wood downwards. If it draws out freely for its "
                "whole length, tears no fibre and brings none with it, that stalk is "
                "ready."
            ),
            flax_society,
        ),
        (
            _("Dry a few stalks and try them as well before anybody decides."),
            _("Pittsburgh Gazette, 12 September 1823"),
        ),
        (
            _(
                "Once the working of the water dies down, test every six hours: the "
                "change can be sudden, and a few hours too many may harm it."
            ),
            flax_society,
        ),
        (
            _(
                "When the flax sinks, look at least twice a day. A single day too long "
                "often harms it."
            ),
            _("Ure, Dictionary of Arts"),
        ),
    )
