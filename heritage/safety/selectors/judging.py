"""A hazard's two grades in words, and the bands that they fall into."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.risk import Likelihood, RiskBand, Severity, band

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


# Each band has its own shape beside its words, so colour says nothing alone.
BAND_TAGS: dict[RiskBand, str] = {
    RiskBand.TRIVIAL: "tag-planned",
    RiskBand.REDUCE: "tag-hold",
    RiskBand.INTOLERABLE: "tag-off",
}
AN_OPINION = _(
    "A score is an opinion in numbers. A low score never takes a control away."
)
BAND_SOURCE = _(
    "Severity times likelihood: below 4 slight, above 12 too high as it is. A "
    "convention from one safety text; no standard fixes it. What can kill needs a "
    "named person wherever it stands."
)


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
    def product(self) -> int:
        """The two together, of 25."""
        return self.severity * self.likelihood

    @property
    def band(self) -> RiskBand:
        """The band that the two together fall into."""
        return band(Severity(self.severity), Likelihood(self.likelihood))

    @property
    def band_words(self) -> str:
        """What the two together ask for."""
        return str(BAND_WORDS[self.band])

    @property
    def tag(self) -> str:
        """The shape that stands beside the words."""
        return BAND_TAGS[self.band]


def band_table() -> list[tuple[str, list[Judgement]]]:
    """Return the table of bands: a row for each severity, the worst first."""
    return [
        (
            Judgement(severity, 1).severity_words,
            [Judgement(severity, likely) for likely in LIKELIHOOD_WORDS],
        )
        for severity in sorted(SEVERITY_WORDS, reverse=True)
    ]
