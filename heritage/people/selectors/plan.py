"""What becomes of each line of a list that is to be taken in."""

from dataclasses import dataclass, field

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _

from heritage.people.models import AgeBand, Volunteer
from heritage.people.selectors.candidates import Candidate


class Verdict(TextChoices):
    """What becomes of a line."""

    NEW = "new", _("is entered")
    SAME = "same", _("stays as it is")
    FILL = "fill", _("is filled in")
    REFUSED = "refused", _("is refused")


@dataclass(slots=True, eq=False)
class Planned:
    """A line with what becomes of it and why."""

    line: Candidate
    verdict: Verdict
    words: list[str] = field(default_factory=list)
    person: Volunteer | None = None
    fills: tuple[str, ...] = ()
    guardian: "Volunteer | Planned | None" = None

    @property
    def age_words(self) -> str:
        """How old the line makes them, in words."""
        return str(AgeBand(self.line.age_band).label)

    @property
    def guardian_name(self) -> str:
        """Who answers for them, if they are new and under 18."""
        found = self.guardian
        return found.line.name if isinstance(found, Planned) else str(found or "")

    @property
    def fill_words(self) -> str:
        """What is written in on the list, in words."""
        return ", ".join(field_label(name) for name in self.fills)


@dataclass(frozen=True, slots=True)
class IntakePlan:
    """What taking the list in would do."""

    lines: tuple[Planned, ...]

    def of(self, verdict: Verdict) -> list[Planned]:
        return [planned for planned in self.lines if planned.verdict is verdict]

    @property
    def new(self) -> list[Planned]:
        """Those who are put on the list."""
        return self.of(Verdict.NEW)

    @property
    def same(self) -> list[Planned]:
        """Those who are on the list already and stay as they are."""
        return self.of(Verdict.SAME)

    @property
    def filled(self) -> list[Planned]:
        """Those on the list of whom something missing is written in."""
        return self.of(Verdict.FILL)

    @property
    def refused(self) -> list[Planned]:
        """Those that cannot be taken, with why."""
        return self.of(Verdict.REFUSED)

    @property
    def changes(self) -> int:
        """How many lines change the list."""
        return len(self.new) + len(self.filled)


def field_label(name: str) -> str:
    """Name a volunteer's field as the pages name it."""
    return str(getattr(Volunteer._meta.get_field(name), "verbose_name", name))
