"""The hazards of the ground, judged before and after what is done about them."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.risk import Likelihood, RiskBand, Severity, band
from heritage.safety.models import Hazard
from heritage.safety.selectors.words import lacks_named_person
from heritage.season.models import Demonstration

SEVERITY_WORDS: dict[int, str | Promise] = {
    1: _("a graze"),
    2: _("first aid"),
    3: _("a doctor"),
    4: _("hospital"),
    5: _("death"),
}
LIKELIHOOD_WORDS: dict[int, str | Promise] = {
    1: _("hardly"),
    2: _("unlikely"),
    3: _("possible"),
    4: _("likely"),
    5: _("nearly sure"),
}
BAND_WORDS: dict[RiskBand, str | Promise] = {
    RiskBand.TRIVIAL: _("slight"),
    RiskBand.REDUCE: _("keep it down"),
    RiskBand.INTOLERABLE: _("too high as it is"),
}


@dataclass(frozen=True, slots=True)
class Judgement:
    """One judgement of a hazard, its two grades kept apart, in words."""

    severity: int
    likelihood: int

    @property
    def severity_words(self) -> str:
        """How bad it would be."""
        return f"{self.severity}, {SEVERITY_WORDS[self.severity]}"

    @property
    def likelihood_words(self) -> str:
        """How likely it is."""
        return f"{self.likelihood}, {LIKELIHOOD_WORDS[self.likelihood]}"

    @property
    def band_words(self) -> str:
        """What the two together ask for."""
        return str(
            BAND_WORDS[band(Severity(self.severity), Likelihood(self.likelihood))]
        )


@dataclass(frozen=True, slots=True)
class HazardLine:
    """One hazard with its judgements, and whether it wants a name."""

    hazard: Hazard
    before: Judgement
    after: Judgement
    lacks_name: bool


@dataclass(frozen=True, slots=True)
class HazardPage:
    """The hazards of a demonstration, the worst first."""

    lines: tuple[HazardLine, ...]

    @property
    def without_name(self) -> int:
        """How many that can kill have nobody named."""
        return sum(line.lacks_name for line in self.lines)


def hazard_page(demonstration: Demonstration) -> HazardPage:
    """List the hazards with their controls and their judgements."""
    rows = Hazard.objects.of(demonstration).worst_first().with_controls().with_uses()
    return HazardPage(tuple(_line(hazard) for hazard in rows))


def band_table() -> list[tuple[str, list[str]]]:
    """Return the table of bands: a row for each severity, the worst first."""
    return [
        (
            Judgement(severity, 1).severity_words,
            [Judgement(severity, likely).band_words for likely in LIKELIHOOD_WORDS],
        )
        for severity in sorted(SEVERITY_WORDS, reverse=True)
    ]


def _line(hazard: Hazard) -> HazardLine:
    return HazardLine(
        hazard,
        Judgement(hazard.severity, hazard.likelihood),
        Judgement(hazard.severity_after, hazard.likelihood_after),
        lacks_named_person(hazard.severity, hazard.controller),
    )
