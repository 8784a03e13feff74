"""The stations and stages that a hazard may be met at, in words."""

from collections.abc import Iterable, Sequence
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.safety.models import Hazard
from heritage.season.models import Stage

# Nobody rides along, so riding is no station.
WORK_WORDS: Final[dict[str, str | Promise]] = {
    "pull": _("pull"),
    "tie": _("tie"),
    "lay_bands": _("lay bands"),
    "drive": _("drive"),
    "feed": _("feed the puller"),
    "lift_off": _("lift off"),
    "fork": _("fork"),
    "stone": _("lay stones"),
    "tread": _("tread"),
    "steward": _("steward"),
    "talk": _("talk to visitors"),
    "other": _("other work"),
}


def is_met_at(
    hazard: Hazard, stages: Sequence[str] = (), works: Sequence[str] = ()
) -> bool:
    """Tell whether a hazard is met at any of the stages or stations asked about.

    A hazard that names no stage is met at them all; so with stations. Asking about
    none leaves nothing out.
    """
    at_stage = not stages or not hazard.stages or set(stages) & set(hazard.stages)
    at_work = not works or not hazard.works or set(works) & set(hazard.works)
    return bool(at_stage and at_work)


def met_at_words(hazard: Hazard) -> str:
    """Say at which stages and stations a hazard is met."""
    stages = [str(Stage(name).label) for name in Stage.values if name in hazard.stages]
    works = [str(words) for name, words in WORK_WORDS.items() if name in hazard.works]
    if not stages and not works:
        return str(_("at every stage and station"))
    return "; ".join(", ".join(part) for part in (stages, works) if part)


def hazards_met(
    hazards: Iterable[Hazard], stages: Sequence[str], works: Sequence[str]
) -> list[Hazard]:
    """Keep the hazards that are met at what is asked about."""
    return [hazard for hazard in hazards if is_met_at(hazard, stages, works)]
