"""A whole-number program, written row by row and solved by scipy's HiGHS."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from math import inf

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array


@dataclass(frozen=True, slots=True)
class Solution:
    """Whole values of the variables, and whether nothing better can exist."""

    values: tuple[int, ...]
    proven: bool


@dataclass
class Program:
    """Variables, all of them whole numbers, and the rows that bind them."""

    upper: list[float] = field(default_factory=list)
    rows: list[tuple[Mapping[int, float], float, float]] = field(default_factory=list)

    def variable(self, *, upper: float = 1) -> int:
        """Add a variable from nought upwards, and return its number."""
        self.upper.append(upper)
        return len(self.upper) - 1

    def require(
        self, terms: Mapping[int, float], *, least: float = -inf, most: float = inf
    ) -> None:
        """Hold a sum of variables, each times its weight, between two values."""
        self.rows.append((terms, least, most))

    def minimise(
        self, costs: Mapping[int, float], *, seconds: float = inf
    ) -> Solution | None:
        """Return the cheapest values, or ``None`` if none were found in time."""
        objective = np.zeros(len(self.upper))
        objective[list(costs)] = list(costs.values())
        result = milp(
            objective,
            integrality=np.ones(objective.size, dtype=np.int64),
            bounds=Bounds(0, np.array(self.upper)),
            constraints=self._constraints(),
            options={"time_limit": seconds, "mip_rel_gap": 0.0},
        )
        if result.x is None:
            return None
        values = tuple(int(value) for value in np.rint(result.x))
        return Solution(values, proven=result.status == 0)

    def _constraints(self) -> LinearConstraint:
        """Return the rows as one sparse block."""
        entries = [
            (row, column, weight)
            for row, (terms, _, _) in enumerate(self.rows)
            for column, weight in terms.items()
        ]
        rows, columns, weights = zip(*entries, strict=True)
        shape = (len(self.rows), len(self.upper))
        return LinearConstraint(
            csr_array((weights, (rows, columns)), shape=shape),
            [least for _, least, _ in self.rows],
            [most for _, _, most in self.rows],
        )
