"""What everybody must know in an emergency, and what nobody has written yet."""

import re
from dataclasses import dataclass
from typing import cast

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.briefings.emergency.words import petrol_words
from heritage.briefings.models import EmergencyPlan, FirstAidPoint
from heritage.calc.risk import petrol_storage
from heritage.calc.young_people import Jurisdiction
from heritage.season.models import Demonstration


def jurisdiction_of(demonstration: Demonstration) -> Jurisdiction:
    """Return whose law holds: the choices of the row are the calculations' own."""
    return cast(Jurisdiction, str(demonstration.jurisdiction))


# What may be dialled in a line of words: three figures or more, spaces among them.
NUMBER = re.compile(r"\+?\d(?:[ ()-]*\d){2,}")
# A grid reference has figures too: only these lines are looked through for numbers.
PEOPLE = frozenset({"controller", "deputy", "calls"})
Words = str | Promise
# What is done wherever it is, beside what the organiser says of this place. The
# rescue words: the lifeboat and fire services' advice to the public; the machine
# words: Safe Stop. The others are common practice, no source.
PARTS: tuple[tuple[Words, tuple[tuple[str, Words], ...]], ...] = (
    (_("Who"), (("controller", ""), ("deputy", ""), ("calls", ""))),
    (
        _("Tell them where"),
        (("grid_reference", ""), ("way_in", ""), ("hospital", ""), ("aed", "")),
    ),
    (
        _("Everybody out"),
        (("signal", ""), ("meeting_point", ""), ("shelter", ""), ("no_signal", "")),
    ),
    (
        _("What to do"),
        (
            (
                "fire",
                _("Get everybody away and counted. Call. Only tackle a small fire."),
            ),
            ("water_rescue", _("Call for help. Talk, reach or throw. Don't jump in.")),
            (
                "machine_stop",
                _(
                    "Stop the engine, take the key, wait until everything is still. "
                    "Only then touch anything."
                ),
            ),
            (
                "lost_child",
                _(
                    "Tell the lead or an organiser. Watch the ways out. Police at ten "
                    "minutes, or sooner. Never call out the name."
                ),
            ),
            (
                "light_failure",
                _("Machines stop. Wait for a light, then go out together."),
            ),
        ),
    ),
)  # fmt: skip
PLAN_FIELDS = [
    "number",
    *(name for _title, lines in PARTS for name, _always in lines),
]


@dataclass(frozen=True, slots=True)
class Dial:
    """A number as it is written, and as a telephone takes it."""

    shown: str
    tel: str


@dataclass(frozen=True, slots=True)
class PlanLine:
    """One thing the plan says: its name, its words, and what holds anywhere."""

    name: str
    label: str
    words: str
    always: str

    @property
    def dials(self) -> tuple[Dial, ...]:
        """The telephone numbers in the words, where a person is named."""
        return dials(self.words) if self.name in PEOPLE else ()


@dataclass(frozen=True, slots=True)
class PlanPart:
    """Some lines of the plan under one heading."""

    title: str
    lines: tuple[PlanLine, ...]

    @property
    def says_something(self) -> bool:
        """Whether it has a line to read; where the field lies is always known."""
        return any(
            one.words or one.always or one.name == "grid_reference"
            for one in self.lines
        )


@dataclass(frozen=True, slots=True)
class EmergencyPage:
    """The plan as everybody reads it; ``missing`` is what it does not say yet."""

    demonstration: Demonstration
    plan: EmergencyPlan | None
    number: str
    parts: tuple[PlanPart, ...]
    points: tuple[FirstAidPoint, ...]
    petrol: str

    @property
    def dials(self) -> tuple[Dial, ...]:
        """The numbers to call for help."""
        return dials(self.number)

    @property
    def where(self) -> str:
        """The latitude and longitude, as they are read out to a call-taker."""
        place = self.demonstration
        north = _("north") if place.latitude >= 0 else _("south")
        east = _("east") if place.longitude >= 0 else _("west")
        return f"{abs(place.latitude)} {north}, {abs(place.longitude)} {east}"

    @property
    def geo(self) -> str:
        """The place as an address that a telephone opens in its map (RFC 5870)."""
        return f"geo:{self.demonstration.latitude},{self.demonstration.longitude}"

    @property
    def missing(self) -> tuple[str, ...]:
        """What the plan does not say yet, by its name on the form."""
        lines = [line for part in self.parts for line in part.lines]
        missing = [line.label for line in lines if not line.words]
        if not self.number:
            missing.insert(0, _label("number"))
        if not self.points:
            missing.append(str(_("first-aid points")))
        return tuple(missing)


def dials(words: str) -> tuple[Dial, ...]:
    """Find the telephone numbers in a line of words."""
    return tuple(
        Dial(shown, re.sub(r"[^\d+]", "", shown)) for shown in NUMBER.findall(words)
    )


def emergency_page(demonstration: Demonstration) -> EmergencyPage:
    """Return the emergency plan: two queries."""
    plan = EmergencyPlan.objects.of(demonstration).first()
    written = plan or EmergencyPlan()
    petrol = ""
    if written.petrol_l is not None:
        law = jurisdiction_of(demonstration)
        petrol = petrol_words(petrol_storage(float(written.petrol_l), jurisdiction=law))
    return EmergencyPage(
        demonstration=demonstration,
        plan=plan,
        number=written.number,
        parts=tuple(
            PlanPart(
                str(title),
                tuple(
                    PlanLine(name, _label(name), getattr(written, name), str(always))
                    for name, always in lines
                ),
            )
            for title, lines in PARTS
        ),
        points=tuple(FirstAidPoint.objects.of(demonstration).in_order()),
        petrol=petrol,
    )


def _label(name: str) -> str:
    return str(EmergencyPlan._meta.get_field(name).verbose_name)  # type: ignore[union-attr]
