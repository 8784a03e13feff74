"""Who may tread when: the rules of the stations, asked of a turn."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, time

from django.utils.translation import gettext as _

from heritage.dam.models import Reading, RotaPlan, Treading
from heritage.gatherings.models import Gathering, Station, StationKind
from heritage.gatherings.selectors import Known, Refusal, known_of, refusal
from heritage.people.models import User, Volunteer
from heritage.people.selectors import able_pairs
from heritage.season.models import Demonstration


@dataclass(frozen=True, slots=True)
class Fitness:
    """What is known of some people, for every turn of one plan."""

    station: Station
    where: Demonstration
    known: Known
    skilled: frozenset[int]

    def refusal(self, turn: Treading, volunteer: Volunteer) -> Refusal | None:
        """Say why somebody may not tread on a turn, if they may not."""
        if volunteer.left_at:
            return Refusal(_("%s is not on the list any more.") % volunteer, "left")
        if self.station.briefing is None:
            words = _(
                "No safety briefing has been chosen for this treading. An organiser "
                "chooses it first, under “Change the plan”."
            )
            return Refusal(words, "plan")
        return refusal(
            self.station, _evening(self.where, turn.at), volunteer, self.known
        )

    def knows_the_work(self, volunteer: Volunteer) -> bool:
        """Tell whether somebody has the skill asked for, to the rota's last day."""
        return volunteer.pk in self.skilled


def fitness(plan: RotaPlan, people: Iterable[Volunteer]) -> Fitness:
    """Look up what the rules ask: three queries at most, however many they are.

    To the rules on age and briefings a turn is a station for treading at a gathering
    of its own, so that the two can never disagree. Whoever watches from the bank is
    asked the same. Nobody is at the water unbriefed: without a briefing nobody is fit.
    """
    folk = list(people)
    station = Station(
        kind=StationKind.TREAD,
        title=_("Treading the crop"),
        briefing=plan.briefing,
        competence=None,
    )
    where = plan.ret.dam.demonstration
    last = datetime.combine(plan.last_day, time(12), tzinfo=where.zone)
    known = known_of(folk, _evening(where, last), [station])
    asked = [plan.skill_id] if plan.skill_id else []
    pairs = able_pairs(folk, asked, plan.last_day) if asked else set()
    return Fitness(station, where, known, frozenset(person for person, _ in pairs))


def may_tick(user: User, demonstration: Demonstration) -> bool:
    """Tell whether somebody may answer for people without a telephone: two queries.

    Organisers may, and whoever leads a gathering of the demonstration.
    """
    organised = Demonstration.objects.managed_by(user).filter(pk=demonstration.pk)
    led = Gathering.objects.led_by(user).of(demonstration)
    return organised.exists() or led.exists()


def may_correct(reading: Reading, user: User) -> bool:
    """Tell whether somebody may correct a reading: theirs, or as for `may_tick`."""
    where = reading.ret.dam.demonstration
    return reading.entered_by_id == user.pk or may_tick(user, where)


def _evening(where: Demonstration, moment: datetime) -> Gathering:
    return Gathering(demonstration=where, starts_at=moment)
