"""Whether an incident looks like one to be reported: reasons, never a promise."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.calc.risk import Case, Hurt, Reporting, reporting_prompt
from heritage.safety.models import Incident, IncidentKind
from heritage.safety.selectors.law import jurisdiction_of

SAID: dict[Reporting, str | Promise] = {
    Reporting.LIKELY: gettext_lazy("This is likely one to be reported"),
    Reporting.NOTHING_FOUND: gettext_lazy("Nothing found that makes it reportable"),
    Reporting.ASK: gettext_lazy("Not to be said from what is known: find out, or ask"),
}
# The words that stand beside every answer.
GUIDANCE = gettext_lazy(
    "Guidance only. Decide with the official pages, and keep a record either way."
)


@dataclass(frozen=True, slots=True)
class Advice:
    """What the prompt says of an incident, and why."""

    answer: Reporting
    words: str
    reasons: tuple[str, ...]

    @property
    def is_likely(self) -> bool:
        """Whether it should be reported without delay."""
        return self.answer is Reporting.LIKELY


def advice_on(incident: Incident) -> Advice:
    """Return guidance on reporting; it reports nothing, and promises nothing."""
    answer, reasons = _answer(incident)
    return Advice(answer, str(SAID[answer]), reasons)


def _answer(incident: Incident) -> tuple[Reporting, tuple[str, ...]]:
    harmless = incident.kind in (IncidentKind.NEAR_MISS, IncidentKind.DAMAGE)
    if harmless and not incident.who:
        words = _(
            "Nobody was hurt. Some dangerous happenings may have to be reported all "
            "the same: look at the official pages."
        )
        return Reporting.ASK, (words,)
    if not incident.who:
        return Reporting.ASK, (_("Say first who was hurt or taken ill."),)
    prompt = reporting_prompt(
        Case(
            jurisdiction_of(incident.demonstration),
            Hurt(incident.who),
            work_related=incident.work_related,
            employer=incident.employer,
            on_public_road=incident.on_public_road,
            fatal=incident.fatal,
            treated_in_hospital=incident.treated_in_hospital,
        )
    )
    return prompt.answer, prompt.reasons
