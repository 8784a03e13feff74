"""The roles a mark can play, and how each looks where no stylesheet reaches.

On a page a role is the class ``d-<role>`` and the theme sets ``--d`` on it. The
colours here are what paper gets, and what an SVG shows when it stands alone. Roles
that fill areas also carry a hatch, so that a black-and-white print still tells them
apart. The ``sign`` roles are safety colours and never follow a theme.
"""

from dataclasses import dataclass
from typing import Literal

Role = Literal[
    "ink",
    "hairline",
    "muted",
    "ground",
    "light",
    "dusk",
    "dark",
    "band",
    "crop",
    "straw",
    "action",
    "warning",
    "water",
    "flax",
    "soil",
    "grass",
    "stone",
    "now",
    "skin",
    "sign-red",
    "sign-blue",
    "sign-yellow",
    "sign-green",
    "sign-black",
    "sign-white",
]


@dataclass(frozen=True)
class Hatch:
    """Ruled lines over a filled area: spacing in units, angle in degrees."""

    spacing: float
    angle: float
    colour: str


@dataclass(frozen=True)
class Tone:
    """One role's colour, and the hatch laid over areas filled with it."""

    colour: str
    hatch: Hatch | None = None


TONES: dict[Role, Tone] = {
    "ink": Tone("#1f2326"),
    "hairline": Tone("#8c8577"),
    "muted": Tone("#56524a"),
    "ground": Tone("#ffffff"),
    "light": Tone("#f6ecc9"),
    "dusk": Tone("#cfcbdc", Hatch(5, 45, "#8a86a0")),
    "dark": Tone("#9a9bb0", Hatch(3, 45, "#4a4d63")),
    "band": Tone("#e6dcc6", Hatch(5, -45, "#a8926a")),
    "crop": Tone("#7a5a34"),
    "straw": Tone("#d8c48f"),
    "action": Tone("#2b4c8c"),
    "warning": Tone("#9b2423"),
    "water": Tone("#c9dce6", Hatch(6, 0, "#7fa0b4")),
    # Flat tints of drawn land: lines over them say what they are.
    "flax": Tone("#e0bd6b"),
    "soil": Tone("#cdb592"),
    "grass": Tone("#a9b487"),
    "stone": Tone("#b8b1a4"),
    "now": Tone("#e9a63a"),
    "skin": Tone("#e8d3ae"),
    # RAL references of ISO 3864-4 as screen colours.
    "sign-red": Tone("#9b2423"),
    "sign-blue": Tone("#005387"),
    "sign-yellow": Tone("#f9a900"),
    "sign-green": Tone("#237f52"),
    "sign-black": Tone("#2b2b2c"),
    "sign-white": Tone("#ffffff"),
}
