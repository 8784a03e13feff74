"""The age rules, and what makes a briefing hard to read, in sentences.

An age rule is said here with its source, for briefings, machines and gatherings alike.
"""

from dataclasses import dataclass
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.calc.readability import HardToRead
from heritage.calc.young_people import AgeRule, Rule

Words = str | Promise

HARD_TO_READ: Final[dict[HardToRead, Words]] = {
    HardToRead.GRADE: gettext_lazy(
        "Reading grade %(grade).1f: aim for %(most).0f or less, with shorter words and "
        "sentences."
    ),
    HardToRead.SENTENCE: gettext_lazy(
        "A sentence has %(words)d words: make two of it, none over %(most)d."
    ),
    HardToRead.POINTS: gettext_lazy(
        "There are %(points)d points on one card: %(most)d at most are remembered."
    ),
}

OUR_OWN: Final = gettext_lazy("our own rule")
HSA: Final = gettext_lazy("HSA, Republic of Ireland")
NI_RULES: Final = gettext_lazy("Northern Ireland SR 2006/335 regs 3 to 7")
# Each rule, fit for a screen or a sheet, and whose it is.
RULES: Final[dict[Rule, tuple[Words, Words]]] = {
    Rule.GB_MACHINE: (
        gettext_lazy(
            "Nobody under 16 drives, works or helps to work a harvesting machine. At "
            "16 and 17 the organiser decides first, by how new they are to it."
        ),
        gettext_lazy(
            "HSE, agriculture: children; MHSWR 1999 reg. 19. That a flax puller is "
            "such a machine is our own reading."
        ),
    ),
    Rule.GB_RIDE: (
        gettext_lazy(
            "Nobody under 13 rides on or drives a farm machine, in a cab or out of it."
        ),
        gettext_lazy(
            "SI 1998/3262, Prevention of Accidents to Children in Agriculture"
        ),
    ),
    Rule.GB_TRACTOR: (
        gettext_lazy(
            "From 13 to 15 only a low-powered tractor, alone or with a trailed roller "
            "or harrow: trained, watched over, and with nobody near."
        ),
        gettext_lazy("NFU on HSE's guidance"),
    ),
    Rule.GB_ASSESSMENT: (
        gettext_lazy(
            "For people under 18 the assessment weighs how new they are, what they "
            "can bear, and risks they cannot see. Below school-leaving age no such "
            "risk is left; from then on only for training, watched over, as low as "
            "can be. Parents are told what was found."
        ),
        gettext_lazy("MHSWR 1999 reg. 19"),
    ),
    Rule.NI_MACHINE: (
        gettext_lazy(
            "Nobody under 13 works or rides on a farm machine; from 13 a certificate "
            "and somebody watching over them are needed."
        ),
        NI_RULES,
    ),
    Rule.NI_MAINTENANCE: (
        gettext_lazy("Nobody below school-leaving age maintains a machine."),
        NI_RULES,
    ),
    Rule.IE_DRIVE: (gettext_lazy("Nobody under 14 works a farm machine."), HSA),
    Rule.IE_RIDE: (
        gettext_lazy(
            "Nobody under 7 rides in a tractor's cab; from 7 to 16 only on a fitted "
            "seat with its belt."
        ),
        HSA,
    ),
    Rule.OWN_DRIVE: (gettext_lazy("Only adults drive the tractor."), OUR_OWN),
    Rule.OWN_MACHINE: (
        gettext_lazy(
            "Nobody under 16 rides on or works at the tractor or the machines here. "
            "At 16 and 17 the organiser decides first, by how new they are to it."
        ),
        OUR_OWN,
    ),
    Rule.OWN_WATER: (
        gettext_lazy("Only adults go into or work at the edge of the water."),
        OUR_OWN,
    ),
    Rule.OWN_STONES: (gettext_lazy("Only adults lift and place the stones."), OUR_OWN),
    Rule.OWN_STEWARD: (
        gettext_lazy("Only adults steward."),
        gettext_lazy(
            "our own rule; council event guidance asks the same (South Tyneside)"
        ),
    ),
    Rule.OWN_FORK: (
        gettext_lazy(
            "Nobody under 16 forks beets: forks are sharp and the cart moves."
        ),
        OUR_OWN,
    ),
    Rule.OWN_BESIDE: (
        gettext_lazy("Any age may do this. A child works beside their guardian."),
        OUR_OWN,
    ),
    Rule.OWN_OTHER: (
        gettext_lazy("The organiser sets the age for other work."),
        OUR_OWN,
    ),
}


@dataclass(frozen=True, slots=True)
class RuleWords:
    """A rule on young people as it is shown: the age, the rule, and whose it is."""

    least_age: int
    reason: str
    source: str


def rule_words(rule: AgeRule) -> RuleWords:
    """Say a rule; where the place's own are not known, to look them up."""
    reason, source = map(str, RULES[rule.code])
    if rule.is_elsewheres:
        check = _("Check the rules where you are: they may be stricter.")
        reason = f"{reason} {check}"
        source = _("the strictest we know: %s") % source
    return RuleWords(rule.least_age, reason, source)
