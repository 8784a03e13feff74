"""The fibre account: what was expected of the crop, what was weighed, what may come."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from ._band import Band, joined
from ._chain import Chain, Step, project
from ._checks import not_negative, whole
from ._dressing import EXPECTED, Work
from ._yarn import NOTHING


@dataclass(frozen=True, slots=True)
class Waiting:
    """What still waits to be worked.

    Attributes
    ----------
    beets : int
        Beets that are nowhere lost and not yet opened.
    broken_kg, scutched_kg : float
        Broken flax to be scutched, and scutched fibre to be hackled. [kg]
    straw_kg : float
        Straw at the brake. [kg]
    """

    beets: int
    straw_kg: float = 0.0
    broken_kg: float = 0.0
    scutched_kg: float = 0.0


@dataclass(frozen=True, slots=True)
class AccountStep:
    """One step of the account.

    Attributes
    ----------
    step : Step
        What is weighed.
    before : Band
        What was expected of the whole crop before anything was weighed. [kg]
    measured_kg : float
        What was weighed so far. [kg]
    to_come : Band
        What may still come. [kg]
    """

    step: Step
    before: Band
    measured_kg: float
    to_come: Band

    @property
    def total(self) -> Band:
        """What was weighed and what may still come, together."""
        return _sum([_exactly(self.measured_kg), self.to_come])


def account(
    chain: Chain, pulled: int, waiting: Waiting, measured: Mapping[Step, float]
) -> tuple[AccountStep, ...]:
    """Set what was expected beside what was weighed, from retted straw to line.

    Parameters
    ----------
    chain : Chain
        What each step keeps.
    pulled : int
        Beets pulled.
    waiting : Waiting
        What is still to be worked.
    measured : mapping of Step to float
        What was weighed of retted straw, scutched fibre and line. [kg]

    Returns
    -------
    tuple of AccountStep
        The crop as pulled, and these three.
    """
    before = {one.step: one.kg for one in project(chain, pulled)}
    left = whole(waiting.beets, "beets")
    factors = (chain.beet_kg, chain.kept[Step.STRAW], chain.kept[Step.RETTED])
    straw = joined(factors).scaled(left)
    at_brake = _sum([straw, _exactly(waiting.straw_kg)])
    scutched = _sum(
        [
            _times(chain.kept[Step.SCUTCHED], at_brake),
            EXPECTED[Work.SCUTCHING].onward.scaled(waiting.broken_kg),
        ]
    )
    to_hackle = _sum([scutched, _exactly(waiting.scutched_kg)])
    to_come = {
        Step.RETTED: straw,
        Step.SCUTCHED: scutched,
        Step.LINE: _times(chain.kept[Step.LINE], to_hackle),
    }
    rows = [AccountStep(Step.CROP, before[Step.CROP], 0.0, NOTHING)]
    for step, band in to_come.items():
        kg = not_negative(measured.get(step, 0.0), f"measured[{step}]")
        rows.append(AccountStep(step, before[step], kg, band))
    return tuple(rows)


def with_beets(chain: Chain, beet_kg: Band) -> Chain:
    """Return a chain whose beets weigh what they do here.

    Parameters
    ----------
    chain : Chain
        What each step keeps.
    beet_kg : Band
        Air-dry weight of one beet. [kg]

    Returns
    -------
    Chain
        The same shares from another beet.
    """
    return replace(chain, beet_kg=beet_kg)


def _exactly(kg: float) -> Band:
    weighed = not_negative(kg, "kg")
    return Band(weighed, weighed, weighed)


def _times(share: Band, kg: Band) -> Band:
    """Return a share of a weight, which may be nought."""
    return joined((share, kg)) if kg.likely > 0 else NOTHING


def _sum(bands: Iterable[Band]) -> Band:
    """Return bands together, their ends as if all went the same way."""
    low = likely = high = 0.0
    for band in bands:
        low, likely, high = low + band.low, likely + band.likely, high + band.high
    return Band(low, likely, high)
