"""The invented ground of the show: its plan, machines, stones, and who can do what.

Like the season itself it goes in through the site's services, each thing with the
moment it happened.
"""

import json
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from django.conf import settings

from heritage.briefings.models import Briefing, EmergencyPlan, FirstAidPoint
from heritage.briefings.services import publish
from heritage.common.rows import keep_record
from heritage.gatherings import services as gatherings
from heritage.gatherings.runs.selectors import RunPlan
from heritage.gatherings.runs.services import post_run
from heritage.gatherings.services import start_with
from heritage.grounds.models import CrowdPlan, Exit, StewardPost
from heritage.grounds.services import keep_post
from heritage.incidents.services import report_incident
from heritage.machines.models import Machine, Stone
from heritage.machines.services import check_machine, keep_machine
from heritage.people.agreements.services import agree_on_paper, keep_health_note
from heritage.people.competences.services import confirm_able, keep_competence, say_able
from heritage.people.models import Competence, Subject, User, Volunteer
from heritage.people.particulars.services import Particulars
from heritage.people.services import edit_volunteer
from heritage.season.models import Demonstration

FIXTURES = settings.BASE_DIR / "fixtures"
PATTERNS = (
    "Pulling by hand",
    "Pulling with the machine",
    "Carting",
    "Laying the stones",
)


def read_ground() -> dict[str, Any]:
    """Return the rest of the scenario: the ground and what its people can do."""
    text = (FIXTURES / "carrowlint_ground.json").read_text(encoding="utf-8")
    ground: dict[str, Any] = json.loads(text)
    return ground


def plan_for_emergencies(
    *, demonstration: Demonstration, by: User, now: datetime
) -> None:
    """Write the plan and the first aid points, then publish the briefings anew."""
    ground = read_ground()
    keep_record(
        row=EmergencyPlan(demonstration=demonstration, revised_at=now, revised_by=by),
        values=ground["plan"],
    )
    for row in ground["first_aid_points"]:
        keep_record(row=FirstAidPoint(demonstration=demonstration), values=row)
    for briefing in Briefing.objects.of(demonstration).by_title():
        publish(briefing=briefing, user=by, now=now)


class Ground:
    """The making of the ground, step by step."""

    def __init__(
        self, demonstration: Demonstration, organiser: User, now: datetime
    ) -> None:
        self.ground = read_ground()
        self.demonstration = demonstration
        self.by: dict[str, Any] = {"by": organiser, "now": now - timedelta(days=9)}
        self.organiser = organiser
        self.now = now
        rows = Volunteer.objects.of(demonstration)
        self.known = {person.name: person for person in rows}

    def make(self) -> None:
        """Make all of it."""
        self.able()
        self.contacts()
        self.lay_out()
        self.machines()
        self.stewards()
        self.care()
        self.first_aider()
        if self.days_ahead(self.ground["run"]["first_day"]) > 0:
            self.run()
        if self.days_ahead(self.ground["incident"]["happened_at"][:10]) < 0:
            self.near_miss()

    def days_ahead(self, day: str) -> int:
        """Return how many days a day lies ahead of the moment shown."""
        return (date.fromisoformat(day) - self.now.date()).days

    def able(self) -> None:
        """Keep what people can do."""
        can = {
            row["title"]: keep_competence(
                competence=Competence(demonstration=self.demonstration),
                values=row,
                by=self.organiser,
            )
            for row in self.ground["competences"]
        }
        for row in self.ground["skills"]:
            who: dict[str, Any] = {"volunteer": self.known[row["who"]]}
            who["competence"] = can[row["can"]]
            if row["confirmed"]:
                ends = row["runs_out_on"] and date.fromisoformat(row["runs_out_on"])
                confirm_able(**who, runs_out_on=ends, **self.by)
            else:
                say_able(**who, **self.by | {"by": self.known[row["who"]].user})

    def contacts(self) -> None:
        """Keep whom to call about somebody."""
        for row in self.ground["emergency_contacts"]:
            person = self.known[row["who"]]
            edit_volunteer(
                volunteer=person,
                now=self.now,
                name=person.name,
                email=person.email,
                phone=person.phone,
                particulars=Particulars(
                    said_on=self.now.date(),
                    emergency_name=row["name"],
                    emergency_phone=row["phone"],
                ),
            )

    def lay_out(self) -> None:
        """Write down the ways out, the stones and how many the ground holds."""
        here: dict[str, Any] = {"demonstration": self.demonstration}
        for row in self.ground["exits"]:
            values = row | {"width_m": Decimal(row["width_m"])}
            keep_record(row=Exit(**here), values=values)
        keep_record(row=CrowdPlan(**here), values=_decimals(self.ground["crowd"]))
        for row in self.ground["stones"]:
            values = row | {"weight_kg": Decimal(row["weight_kg"])}
            keep_record(row=Stone(**here), values=values)
        start_with(titles=PATTERNS, **here, **self.by)

    def machines(self) -> None:
        """Set up the machines, and look at their guards this afternoon."""
        can = {row.title: row for row in self.demonstration.competences.all()}
        for row in self.ground["machines"]:
            words = ("name", "kind", "stop", "fuel", "barrier")
            values = {name: row[name] for name in words}
            machine = keep_machine(
                machine=Machine(demonstration=self.demonstration),
                values=values | {"worked_by": can[row["worked_by"]]},
                guards=row["guards"],
            )
            check_machine(
                machine=machine,
                present=[one for one in row["guards"] if one not in row["missing"]],
                by=self.organiser,
                now=self.now - timedelta(hours=3),
            )

    def stewards(self) -> None:
        """Write down the posts, and who keeps them."""
        for row in self.ground["stewards"]:
            values = {name: value for name, value in row.items() if name != "who"}
            values["volunteer"] = self.known.get(row["who"])
            post = StewardPost(demonstration=self.demonstration)
            keep_post(post=post, values=values, now=self.by["now"])

    def care(self) -> None:
        """Keep one note for the first-aider, and one word on photographs."""
        row = self.ground["health_note"]
        keep_health_note(
            volunteer=self.known[row["who"]], text=row["text"], number=1, **self.by
        )
        agree_on_paper(
            volunteer=self.known[self.ground["may_be_shown"]],
            subject=Subject.PHOTOGRAPH,
            number=1,
            **self.by,
        )

    def first_aider(self) -> None:
        """Name tonight's first-aider."""
        tonight = self.demonstration.gatherings.upcoming(self.now).first()
        if tonight is None:
            raise LookupError("The scenario has no gathering to come.")
        details: Any = {
            name: getattr(tonight, name) for name in gatherings.Details.__annotations__
        }
        gatherings.edit(
            gathering=tonight,
            details=details
            | {"first_aider": self.known[self.ground["first_aider_tonight"]]},
            stations=[
                gatherings.StationPlan(station=one, **_work(one))
                for one in tonight.stations.in_order()
            ],
            now=self.now - timedelta(hours=5),
        )

    def run(self) -> None:
        """Draft a run of evenings, should the field not be done by then."""
        row = self.ground["run"]
        pattern = self.demonstration.patterns.get(title=row["pattern"])
        plan = RunPlan(
            weekdays=tuple(row["weekdays"]),
            first_day=date.fromisoformat(row["first_day"]),
            last_day=date.fromisoformat(row["last_day"]),
            starts=time.fromisoformat(row["starts"]),
            ends=time.fromisoformat(row["ends"]),
        )
        post_run(
            demonstration=self.demonstration,
            plan=plan,
            details={name: getattr(pattern, name) for name in gatherings.PATTERN_FIELDS}
            | {name: row[name] for name in ("title", "place")}
            | {"plot": None, "lead": None},
            stations=[
                gatherings.StationPlan(**_work(one))
                for one in pattern.stations.in_order()
            ],
            days=plan.days,
            as_draft=True,
            **self.by,
        )

    def near_miss(self) -> None:
        """Have a volunteer write down what nearly went wrong at the dam."""
        row = dict(self.ground["incident"])
        at = datetime.fromisoformat(row.pop("happened_at"))
        reporter = self.known[row.pop("who")].user
        if reporter is None:
            raise LookupError("Somebody who writes it down has an account.")
        report_incident(
            demonstration=self.demonstration,
            values=row | {"happened_at": at},
            by=reporter,
            now=at + timedelta(hours=1),
        )


def _work(station: Any) -> dict[str, Any]:
    """Return what a station, or a pattern's, asks of people."""
    names = ("kind", "title", "places", "least_age", "briefing", "note", "fewest")
    return {name: getattr(station, name) for name in names}


def _decimals(row: dict[str, Any]) -> dict[str, Any]:
    return {
        name: Decimal(value) if isinstance(value, str) else value
        for name, value in row.items()
    }
