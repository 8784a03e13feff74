"""A child lost or found: what is done, in its order, and how long it has been."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.briefings.emergency.selectors import Dial, dials
from heritage.briefings.models import EmergencyPlan
from heritage.incidents.models import LEADS_KEEP_LOGS, ChildMatter, ChildStep, LostChild
from heritage.people.models import User
from heritage.season.models import Demonstration

# Councils call the police at 15 minutes, one community group at 30. Ten is our own
# rule, and the button is there from the first minute.
CALL_AFTER = timedelta(minutes=10)
POLICE = "police"
Words = str | Promise
# From councils' event guidance, but for the water and the machines, which are ours.
# The screen and the paper form both follow this order; the police stand high in it,
# where their minute is not overlooked.
STEPS: dict[str, dict[str, Words]] = {
    ChildMatter.LOST: {
        "stays": _("A steward stays with the person who is looking for the child."),
        "told": _("Tell the person in charge, who keeps this log."),
        POLICE: _("Call the police at ten minutes, or sooner."),
        "exits": _("Have every way out watched."),
        "machines": _("Stop machines and tractors."),
        "water": _("Search the edge of the dam first, from the bank, in twos."),
        "ground": _("Search the ground: stooks, carts, sheds, hedges, cars."),
        "again": _("Have other people search it all again."),
    },
    ChildMatter.FOUND: {
        "two": _("Two adults stay with the child at all times."),
        "seen": _("They wait where other people can see them."),
        "told": _("Tell the person in charge, who keeps this log."),
        "drink": _("Give them only water."),
        "checked": _(
            "Check who the person is who comes, and what they are to the child. They "
            "have to show it."
        ),
        "content": _("Check that the child is happy to go with them."),
        POLICE: _("If nobody comes for the child, call the police."),
    },
}
# Without these nobody leaves with a child that was found.
BEFORE_GOING = ("checked", "content")


@dataclass(frozen=True, slots=True)
class StepLine:
    """One line of the checklist, and when it was pressed."""

    key: str
    words: str
    done: ChildStep | None

    @property
    def is_police(self) -> bool:
        """Whether it is the call to the police, which has a button of its own."""
        return self.key == POLICE


@dataclass(frozen=True, slots=True)
class ChildPage:
    """The log of one child, as the person who keeps it reads it."""

    log: LostChild
    minutes: int
    steps: tuple[StepLine, ...]
    written: tuple[ChildStep, ...]
    dials: tuple[Dial, ...]
    place: str
    is_call_due: bool

    @property
    def is_open(self) -> bool:
        """Whether it has not ended."""
        return self.log.closed_at is None


@dataclass(frozen=True, slots=True)
class ChildrenPage:
    """What is done about a lost child, and the logs that the reader keeps."""

    may_keep: bool
    logs: tuple[LostChild, ...]
    lost: tuple[str, ...]
    found: tuple[str, ...]
    dials: tuple[Dial, ...]
    place: str


def may_keep_logs(demonstration: Demonstration, user: User, now: datetime) -> bool:
    """Tell whether somebody leads a gathering about now: one query."""
    leading = user.volunteers.active().of(demonstration)
    return leading.leading_between(
        now - LEADS_KEEP_LOGS, now + LEADS_KEEP_LOGS
    ).exists()


def children_page(
    demonstration: Demonstration, user: User, now: datetime, *, organises: bool
) -> ChildrenPage:
    """Return the page of lost children: three queries at most."""
    plan = EmergencyPlan.objects.of(demonstration).first() or EmergencyPlan()
    logs = LostChild.objects.kept_by(user, now).of(demonstration).newest_first()
    return ChildrenPage(
        may_keep=organises or may_keep_logs(demonstration, user, now),
        logs=tuple(logs),
        lost=steps_for(ChildMatter.LOST),
        found=steps_for(ChildMatter.FOUND),
        dials=dials(plan.number),
        place=plan.lost_child,
    )


def child_page(log: LostChild, now: datetime) -> ChildPage:
    """Return a child's log with its checklist: two queries."""
    plan = EmergencyPlan.objects.of(log.demonstration).first() or EmergencyPlan()
    written = tuple(log.steps.select_related("by").order_by("at", "pk"))
    done = {step.step: step for step in written if step.step}
    # A log of the release before noted the call as words of one's own.
    for one in written:
        if one.at == log.police_called_at:
            done.setdefault(POLICE, one)
    end = log.closed_at or now
    is_lost = log.matter == ChildMatter.LOST
    waiting = log.closed_at is None and log.police_called_at is None
    return ChildPage(
        log=log,
        minutes=int((end - log.opened_at) / timedelta(minutes=1)),
        steps=tuple(
            StepLine(key, str(words), done.get(key))
            for key, words in STEPS[log.matter].items()
        ),
        written=written,
        dials=dials(plan.number),
        place=plan.lost_child,
        is_call_due=is_lost and waiting and now - log.opened_at >= CALL_AFTER,
    )


def steps_for(matter: str) -> tuple[str, ...]:
    """Return the words of a checklist."""
    return tuple(str(words) for words in STEPS[matter].values())
