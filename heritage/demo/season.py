"""Make the demonstration for show out of its scenario, through the site's services.

Everything goes in as it would in a season, each with the moment it happened, so the
show obeys every rule that a real demonstration obeys.
"""

import json
import random
import uuid
from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from allauth.account.models import EmailAddress
from django.utils.text import slugify

from heritage.briefings.models import Briefing, BriefingVersion, HeardHow
from heritage.briefings.services import acknowledge
from heritage.common.photographs import read_photograph
from heritage.dam import services as dams
from heritage.dam.learning import services as learning
from heritage.dam.models import After, Dam, Ret
from heritage.dam.readings.services import add_reading
from heritage.demo.dam import DamBook
from heritage.demo.ground import FIXTURES, plan_for_emergencies
from heritage.desk.scores.services import note_rets
from heritage.desk.setting_up import services as desk
from heritage.gatherings import services as gatherings
from heritage.gatherings.call.services import make_call
from heritage.gatherings.gate.services import close, record_turnout
from heritage.gatherings.models import Decision, Gathering, Station, WhyOff
from heritage.gatherings.places.services import sign_up
from heritage.lots.models import Lot
from heritage.lots.selectors import pulled_beets
from heritage.people import services as people
from heritage.people.models import AgeBand, User, Volunteer
from heritage.pictures import services as pictures
from heritage.pictures.models import Licence, Shown
from heritage.season import services as season
from heritage.season.models import Demonstration, Plot
from heritage.tally import services as tally

DAY = timedelta(days=1)
POSTED_AHEAD = 20 * DAY
Say = Callable[[str], None]


def read_scenario(moment: str = "pulling") -> dict[str, Any]:
    """Return the scenario of the invented demonstration, as of one of its moments."""
    text = (FIXTURES / "carrowlint.json").read_text(encoding="utf-8")
    scenario: dict[str, Any] = json.loads(text)
    return scenario | {"now": scenario["moments"][moment]}


def read_moments() -> dict[str, str]:
    """Return the moments of the season that can be shown."""
    moments: dict[str, str] = read_scenario()["moments"]
    return moments


class Carrowlint:
    """The making of the show, step by step."""

    def __init__(self, scenario: dict[str, Any], say: Say) -> None:
        self.scenario = scenario
        self.say = say
        self.now = datetime.fromisoformat(scenario["now"])
        # The same show every time; nothing here is a secret.
        self.chance = random.Random(1840)  # noqa: S311
        self.crew: list[Volunteer] = []
        self.by_day: dict[str, Gathering] = {}

    def make(self) -> Demonstration:
        """Make the whole season and return its demonstration."""
        self.organiser = self.account(self.scenario["organiser"])
        self.demonstration = self.set_up()
        self.say("People")
        self.enrol()
        self.say("The season's stages")
        self.stages()
        self.say("Briefings")
        self.brief()
        for plan in self.scenario["gatherings"]:
            if self.is_posted(plan):
                self.say(f"{plan['title']}, {plan['day']}")
                self.gather(plan)
        dam = Dam.objects.of(self.demonstration).get()
        DamBook(dam, self.now).make(self.scenario["dam_book"])
        for plan in self.scenario["rets"]:
            if datetime.fromisoformat(plan["began_at"]) <= self.now:
                self.say(f"The ret of {plan['batch']}")
                self.ret(plan)
        self.say("Pictures")
        self.photograph()
        return self.demonstration

    def account(self, person: dict[str, str]) -> User:
        """Make an account, its address already proven."""
        user = User.objects.create_user(person["email"], name=person["name"])
        EmailAddress.objects.create(
            user=user, email=user.email, verified=True, primary=True
        )
        return user

    def set_up(self) -> Demonstration:
        """Set the demonstration up in early spring, as its organiser would."""
        plots = self.scenario["plots"]
        here = desk.set_up(
            founder=self.organiser,
            demonstration=_numbers(self.scenario["demonstration"]),
            plot=_plot(plots[0]),
            dam=_dam(self.scenario["dam"]),
            now=self.now - 150 * DAY,
        )
        for plot in plots[1:]:
            season.keep_plot(plot=Plot(demonstration=here), **_plot(plot))
        return here

    def enrol(self) -> None:
        """Let people join with an account, or be entered without one."""
        joined = self.now - 130 * DAY
        self.crew = [self.demonstration.volunteers.get(user=self.organiser)]
        for person in (self.scenario["lead"], self.scenario["volunteer"]):
            user = self.account(person)
            self.crew.append(
                people.join(
                    demonstration=self.demonstration,
                    user=user,
                    name=user.name,
                    now=joined,
                )
            )
        self.account(self.scenario["visitor"])
        for name in self.scenario["with_mail"]:
            email = f"{slugify(name.split()[0])}@carrowlint.example"
            self.enter(name, joined, email=email)
        for number, name in enumerate(self.scenario["on_paper"], start=201):
            # The regulator keeps 028 9649 6000 to 6999 for stories (from memory).
            self.enter(name, joined, phone=f"028 9649 6{number}")
        self.enter_children(joined)

    def enter_children(self, joined: datetime) -> None:
        """Enter the children, each with the adult who answers for them."""
        by_name = {person.name: person for person in self.crew}
        for child in self.scenario["children"]:
            self.enter(
                child["name"],
                joined,
                age_band=child["age_band"],
                guardian=by_name[child["guardian"]],
            )

    def enter(self, name: str, now: datetime, **fields: Any) -> None:
        """Enter somebody without an account."""
        self.crew.append(
            people.add_volunteer(
                demonstration=self.demonstration, name=name, now=now, **fields
            )
        )

    def stages(self) -> None:
        """Write down what is planned and done of each stage."""
        for row in self.scenario["stages"]:
            days = {
                key: date.fromisoformat(value)
                for key, value in row.items()
                if key not in ("stage", "note")
            }
            days = {
                key: day
                for key, day in days.items()
                if key.startswith("planned") or day <= self.now.date()
            }
            season.record_stage(
                demonstration=self.demonstration,
                stage=row["stage"],
                note=row["note"],
                **days,
            )

    def brief(self) -> None:
        """Have everybody but the last few hear the briefings that they may."""
        plan_for_emergencies(
            demonstration=self.demonstration,
            by=self.organiser,
            now=self.now - 13 * DAY,
        )
        self.briefings = list(Briefing.objects.of(self.demonstration).order_by("pk"))
        children = [p for p in self.crew if p.age_band != AgeBand.ADULT]
        for version in BriefingVersion.objects.of(self.demonstration).current():
            pulling = version.briefing == self.briefings[0]
            for person in self.crew[1:-6] + (children if pulling else []):
                acknowledge(
                    version=version,
                    volunteer=person,
                    by=self.organiser,
                    now=self.now - 12 * DAY,
                    how=HeardHow.ALOUD,
                )

    def is_posted(self, plan: dict[str, Any]) -> bool:
        """Say whether a gathering is posted by now; drafts are far ahead."""
        day = self.moment(plan["day"], plan["from"])
        return "draft" in plan or day < self.now + POSTED_AHEAD

    def gather(self, plan: dict[str, Any]) -> None:
        """Post a gathering, fill its stations, and hold it if its day is past."""
        gathering = self.by_day[plan["day"]] = self.post(plan)
        if gathering.is_draft:
            return
        asked = min(gathering.starts_at, self.now) - 2 * DAY
        for name in plan.get("families", ()):
            self.bring_children(gathering, name, asked - DAY)
        order = self.scenario["who_goes_where"][plan["stations"]]
        is_over = gathering.ends_at < self.now
        hands = plan["come"] if is_over else plan.get("sign", plan.get("come", 0))
        self.fill(gathering, hands, order, asked)
        if "off" in plan:
            self.call(gathering, plan["off"], Decision.OFF)
        elif "go" in plan or gathering.starts_at < self.now:
            self.call(gathering, plan.get("go", {"rain_mm_per_h": 0.0}), Decision.GO)
        if is_over and "off" not in plan:
            self.hold(gathering, plan.get("rate", 0))
        if is_over and gathering.plot and "cleared_m2" in plan:
            tally.measure_ground(
                gathering=gathering,
                plot=gathering.plot,
                area_m2=Decimal(plan["cleared_m2"]),
                by=self.organiser,
                now=gathering.ends_at,
            )

    def post(self, plan: dict[str, Any]) -> Gathering:
        """Post a gathering some days before it, with the stations of its kind."""
        starts = self.moment(plan["day"], plan["from"])
        lead = self.crew[1] if plan["stations"] == "evening" else self.crew[0]
        return gatherings.post(
            demonstration=self.demonstration,
            details={
                "title": plan["title"],
                "stage": plan["stage"],
                "plot": self.plot(plan),
                "place": "The double gate on the school lane",
                "starts_at": starts,
                "ends_at": self.moment(plan["day"], plan["to"]),
                "bring": "Old shoes, a drink, long sleeves.",
                "note": "",
                "lead": lead,
            },
            stations=[
                gatherings.StationPlan(**row | {"briefing": self.briefing(row)})
                for row in self.scenario[f"{plan['stations']}_stations"]
            ],
            now=min(starts - 8 * DAY, self.now - 4 * DAY),
            as_draft="draft" in plan and starts > self.now,
        )

    def plot(self, plan: dict[str, Any]) -> Any:
        """Return the plot that a pulling evening works in."""
        name = plan.get("plot")
        return self.demonstration.plots.get(name=name) if name else None

    def briefing(self, row: dict[str, Any]) -> Briefing | None:
        return None if row["briefing"] is None else self.briefings[row["briefing"]]

    def fill(
        self, gathering: Gathering, wanted: int, order: list[int], now: datetime
    ) -> None:
        """Sign people up, each at the next station in order."""
        stations = list(Station.objects.filter(gathering=gathering).in_order())
        there = set(gathering.sign_ups.values_list("volunteer", flat=True))
        free = [person for person in self.willing if person.pk not in there]
        for index, person in enumerate(self.chance.sample(free, wanted)):
            sign_up(
                station=stations[order[index % len(order)]],
                volunteer=person,
                by=self.organiser,
                now=now + timedelta(minutes=3 * index),
            )

    def bring_children(self, gathering: Gathering, name: str, now: datetime) -> None:
        """Give a parent and their children their places at the lightest work."""
        station = gathering.stations.get(kind="lay_bands")
        parent = next(person for person in self.crew if person.name == name)
        for person in (parent, *parent.children.all()):
            sign_up(station=station, volunteer=person, by=self.organiser, now=now)

    @property
    def willing(self) -> list[Volunteer]:
        """The adults who have heard the briefings, but for the organiser."""
        return [p for p in self.crew[1:-6] if p.age_band == AgeBand.ADULT]

    def call(self, gathering: Gathering, words: dict[str, Any], to: Decision) -> None:
        """Make the call in the afternoon before."""
        told = {"note", "why"}
        readings = {name: value for name, value in words.items() if name not in told}
        make_call(
            gathering=gathering,
            readings=readings,
            decision=to,
            why_off=WhyOff(words["why"]) if "why" in words else None,
            note=words.get("note", "As the morning looked."),
            by=self.organiser,
            now=min(gathering.starts_at, self.now) - timedelta(hours=2),
        )

    def hold(self, gathering: Gathering, rate: float) -> None:
        """Put down who came and, on a pulling evening, what each pulled."""
        counts: dict[Volunteer, int] = {}
        places = gathering.sign_ups.held().select_related("volunteer", "station")
        for place in places.order_by("pk"):
            early = timedelta(minutes=self.chance.choice([0, 0, 5, 10, 20]))
            record_turnout(
                gathering=gathering,
                volunteer=place.volunteer,
                arrived_at=gathering.starts_at + early,
                left_at=gathering.ends_at,
                by=self.organiser,
            )
            if rate and place.station.kind == "pull":
                hours = (gathering.ends_at - gathering.starts_at - early) / DAY * 24
                spread = self.chance.uniform(0.6, 1.4)
                counts[place.volunteer] = max(1, round(rate * hours * spread))
        if counts:
            self.tally(gathering, counts)
        close(gathering=gathering, by=self.organiser, now=gathering.ends_at)

    def tally(self, gathering: Gathering, counts: dict[Volunteer, int]) -> None:
        """Write the evening's beets in, and once correct a slip."""
        key = uuid.uuid5(uuid.NAMESPACE_URL, gathering.title + str(gathering.pk))
        entries = tally.log_evening(
            sheet=tally.Sheet(gathering, key, gathering.plot),
            counts=counts,
            by=self.organiser,
            now=gathering.ends_at,
        )
        if gathering.title == "First pulling evening":
            tally.correct(
                entry=entries[0],
                right_beets=entries[0].beets + 2,
                reason="Two beets were under the hedge.",
                by=self.organiser,
                now=gathering.ends_at + timedelta(hours=1),
            )

    def ret(self, plan: dict[str, Any]) -> None:
        """Fill the dam with a batch, and follow its water and its tests until now."""
        began = datetime.fromisoformat(plan["began_at"])
        dam = Dam.objects.of(self.demonstration).get()
        plot = self.demonstration.plots.get(name=plan["batch"])
        # The whole batch, and nothing but the batch.
        rows = Lot.objects.filter(plot=plot).by_number()
        batch = {lot: pulled_beets(lot) for lot in rows}
        ret = dams.fill(
            dam=dam,
            began_at=began,
            beets=sum(batch.values()),
            lots=batch,
            water_depth_m=Decimal(plan["water_depth_m"]),
            beet_dry_kg=Decimal(plan["beet_dry_kg"]),
            by=self.organiser,
            now=began,
        )
        water = dict(self.until_now(plan["readings"]))
        tests = {at: rest for at, *rest in self.until_now(plan["checks"])}
        for at in sorted({*water, *tests}):
            said = {"ret": ret, "at": at, "by": self.organiser, "now": at}
            if at in water:
                add_reading(temp_c=Decimal(water[at]), **said)
            if at in tests:
                found, note = tests[at]
                learning.add_look(found=found, note=note, **said)
            note_rets(demonstration=self.demonstration, now=at)
        self.lift(ret, plan)

    def until_now(self, rows: list[Any]) -> Iterator[Any]:
        """Give the rows of a book up to the moment shown, each with its own moment."""
        for moment, *rest in rows:
            at = datetime.fromisoformat(moment)
            if at <= self.now:
                yield at, *rest

    def lift(self, ret: Ret, plan: dict[str, Any]) -> None:
        """Lift the batch, and write down what became of the water, as far as it is."""
        moments = {
            name: datetime.fromisoformat(plan[name])
            for name in ("lifted_at", "went_at", "clean_at")
            if name in plan and datetime.fromisoformat(plan[name]) <= self.now
        }
        if at := moments.get("lifted_at"):
            dams.lift(ret=ret, lifted_at=at, by=self.organiser, now=at)
            self.judge(ret, *plan.get("came_out", ()))
        if at := moments.get("went_at"):
            went = {name: plan[name] for name in ("went", "leave", "water_to")}
            dams.let_water_go(ret=ret, now=at, went_at=at, **went)
        if at := moments.get("clean_at"):
            dams.make_clean(ret=ret, clean_at=at, now=at)

    def judge(self, ret: Ret, at: str = "", verdict: str = "", note: str = "") -> None:
        """Say how a lifted batch came out, once somebody has looked."""
        if at and (now := datetime.fromisoformat(at)) <= self.now:
            learning.judge(
                ret=ret,
                verdict=verdict,
                after=After.LIFTING,
                note=note,
                by=self.organiser,
                now=now,
            )

    def photograph(self) -> None:
        """Put the drawn pictures in the record and publish them."""
        folder = FIXTURES / "pictures"
        text = (folder / "captions.json").read_text(encoding="utf-8")
        for row in json.loads(text):
            if date.fromisoformat(row["taken_on"]) <= self.now.date():
                self.add_picture(folder / row["file"], row)

    def add_picture(self, path: Path, row: dict[str, Any]) -> None:
        """Add one picture as a volunteer would, and publish it as an organiser."""
        data = path.read_bytes()
        taken = date.fromisoformat(row["taken_on"])
        picture = pictures.add_picture(
            demonstration=self.demonstration,
            original=data,
            prepared=read_photograph(data),
            values={
                "stage": row["stage"],
                "tool": row.get("tool", ""),
                "gathering": self.by_day.get(row["taken_on"]),
                "caption": row["caption"],
                "alt_text": row["alt"],
                "taken_on": taken,
                "credit": row["credit"],
                "licence": Licence.CC_BY,
                "shown": Shown.NOBODY,
            },
            by=self.organiser,
            now=self.now,
        )
        pictures.publish(picture=picture)

    def moment(self, day: str, clock: str) -> datetime:
        """Return a local time of the demonstration."""
        return datetime.combine(
            date.fromisoformat(day),
            time.fromisoformat(clock),
            tzinfo=self.demonstration.zone,
        )


def _numbers(row: dict[str, Any]) -> dict[str, Any]:
    exact = ("latitude", "longitude", "skyline_deg")
    return row | {name: Decimal(row[name]) for name in exact}


def _plot(row: dict[str, Any]) -> dict[str, Any]:
    return row | {
        "area": Decimal(row["area"]),
        "sown_on": date.fromisoformat(row["sown_on"]),
    }


def _dam(row: dict[str, Any]) -> dict[str, Any]:
    lengths = {
        name: Decimal(value)
        for name, value in row.items()
        if name.endswith("_m") or (name in ("inflow_lps", "stone_kg") and value)
    }
    return row | lengths
