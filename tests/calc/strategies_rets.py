"""Signs of a ret, drawn at random, and whole rets played out by the model itself."""

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
from hypothesis import strategies as st

from heritage.calc.retting import SIGN_MODELS, Sign, SignKind, StemPlace

PLACED = ("core", "break", "ring")
SHIFT = {"butt": 0.06, "middle": 0.0, "top": -0.06}


@st.composite
def signs(draw, kinds=tuple(SignKind)):
    """Draw one finding."""
    kind = draw(st.sampled_from(kinds))
    return Sign(
        kind,
        draw(st.sampled_from(SIGN_MODELS[kind].categories)),
        draw(st.floats(0.05, 3.0)),
        draw(st.integers(1, 12)),
        draw(st.sampled_from(StemPlace)),
        draw(st.sampled_from(["", "A", "B"])),
    )


@dataclass
class Batch:
    """One ret with its own factor, and testers and signs with their own leanings."""

    chance: np.random.Generator
    sigma: float = 0.30
    noise: float = 1.0
    shared: float = 1.0
    cuts: float = 0.0
    known: dict = field(default_factory=dict)

    def __post_init__(self):
        self.factor = float(np.exp(self.sigma * self.chance.standard_normal()))
        self.leaning = defaultdict(self.chance.standard_normal)

    def look(self, kind, progress, stems=1, place="middle", tester=""):
        """Return what one look finds, as the model has it."""
        model = SIGN_MODELS[kind]
        whose = (kind, tester) if kind == "core" else kind
        error = self.shared * model.shared * self.leaning[whose]
        error += model.look * self.chance.standard_normal()
        ripe = np.log(progress / self.factor) + error
        ripe += SHIFT[place] if kind in PLACED else 0.0
        ripe = ripe + self.noise * model.each * self.chance.standard_normal(stems)
        found = np.searchsorted(np.array(model.cuts) + self.cuts, ripe)
        if self.chance.random() < 0.03:
            found = self.chance.integers(len(model.categories), size=stems)
        return [
            Sign(kind, model.categories[each], progress, int(count), place, tester)
            for each, count in zip(*np.unique(found, return_counts=True), strict=True)
        ]

    def looks(self, count):
        """Return the signs of so many looks of any kind, at any time before the end."""
        kinds = ["core", "break", "ring", "knotted", "bundle", "slimy"]
        found = []
        for _ in range(count):
            found += self.look(
                self.chance.choice(kinds, p=[0.5, 0.1, 0.1, 0.1, 0.1, 0.1]),
                float(self.chance.uniform(0.5, 1.2)),
                int(self.chance.integers(1, 7)),
                str(self.chance.choice(list(StemPlace))),
                str(self.chance.choice(["A", "B"])),
            )
        return found


def wandering(chance, days=60):
    """Return how far the water's daily mean strays from the expected, day by day."""
    upto = np.arange(1, days + 1)
    each = 1.6 * np.sqrt(1 - 0.91 ** (2 * upto))
    together = 0.91 ** np.abs(np.subtract.outer(upto, upto)) * np.outer(each, each)
    return np.linalg.cholesky(together) @ chance.standard_normal(days)
