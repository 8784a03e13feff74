"""The cautions that hold for every demonstration, and its rules on young people."""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from heritage.calc import young_people
from heritage.safety.models import Mark


@dataclass(frozen=True, slots=True)
class GeneralCaution:
    """A caution for everybody, with its mark."""

    mark: str
    heading: str
    text: str


def general_cautions() -> tuple[GeneralCaution, ...]:
    """Return what everybody is told, whatever they come to do."""
    return (
        GeneralCaution(
            Mark.PROHIBITION,
            _("The water"),
            _("Nobody goes into the water alone, tired, unbriefed or after dark."),
        ),
        GeneralCaution(
            Mark.PROHIBITION,
            _("Somebody in trouble in the water"),
            _("Call 999 or 112, talk, reach or throw. Do not jump in."),
        ),
        GeneralCaution(
            Mark.PROHIBITION,
            _("Pits and drained dams"),
            _("Never climb into a drained, covered or deep pit to help. Call first."),
        ),
        GeneralCaution(
            Mark.PROHIBITION,
            _("A jam in the machine"),
            _("Do not touch it until the engine is off, the key out and all is still."),
        ),
        GeneralCaution(
            Mark.PROHIBITION,
            _("A missing guard"),
            _("Do not run the machine in public with any guard missing."),
        ),
        GeneralCaution(
            Mark.PROHIBITION,
            _("Children and machines"),
            _("No child rides on or works at tractor, trailer or machine."),
        ),
        GeneralCaution(
            Mark.MANDATORY,
            _("Lightning"),
            _(
                "Thunder within 30 seconds of the flash: stop and take cover. Wait 30 "
                "minutes after the last thunder."
            ),
        ),
        GeneralCaution(
            Mark.WARNING,
            _("Heavy stones"),
            _(
                "Figures for lifting are guides and not safe limits. Two people do not "
                "lift twice as much as one. Anybody may refuse a lift."
            ),
        ),
        GeneralCaution(
            Mark.WARNING,
            _("Flax dust"),
            _("It can harm the chest. Stand upwind and keep your turn short."),
        ),
        GeneralCaution(
            Mark.MANDATORY,
            _("Illness afterwards"),
            _("Ill within three weeks of the dam? Tell your doctor about the water."),
        ),
        GeneralCaution(
            Mark.PROHIBITION,
            _("Retting water"),
            _("Do not let it into drain, ditch or river unless the regulator agrees."),
        ),
    )


@dataclass(frozen=True, slots=True)
class AgeRules:
    """The age rules kept here, and the published ones behind them."""

    kept: tuple[young_people.AgeRule, ...]
    published: tuple[young_people.AgeRule, ...]


def young_people_rules(jurisdiction: str) -> AgeRules:
    """Return the age rules that hold under a jurisdiction, with their sources."""
    return AgeRules(
        young_people.rules(jurisdiction), young_people.published_rules(jurisdiction)
    )
