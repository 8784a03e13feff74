"""The fibre account as one drawing."""

from django.utils.translation import gettext as _

from heritage.calc.fibre import AccountStep, Step
from heritage.fibre.selectors import AccountPage
from heritage.kits.charts.fibre import FibreRow, FibreWords, fibre_account
from heritage.kits.drawing.marks import Drawing


def account_drawing(page: AccountPage) -> Drawing:
    """Draw the account from the crop to the line."""
    return fibre_account([_row(step) for step in page.steps], account_words())


def _row(step: AccountStep) -> FibreRow:
    return FibreRow(
        label=step_words(step.step),
        low=step.before.low,
        likely=step.before.likely,
        high=step.before.high,
        measured=step.measured_kg,
        to_come=step.to_come.likely,
    )


def step_words(step: Step) -> str:
    """Return what is weighed at a step."""
    return {
        Step.CROP: _("Crop, dry"),
        Step.STRAW: _("Straw without its bolls"),
        Step.RETTED: _("Retted straw"),
        Step.SCUTCHED: _("Scutched fibre"),
        Step.LINE: _("Hackled line"),
    }[step]


def account_words() -> FibreWords:
    """Return what the drawing says."""
    return FibreWords(
        title=_("From the crop to the line, kg"),
        expected=_("expected {range}, likely {likely}"),
        measured=_("weighed {kg}"),
        to_come=_("to come {kg}"),
        own_scale=_("Each row has a scale of its own."),
        told=_("{rows}."),
    )
