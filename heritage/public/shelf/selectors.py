"""The sheets shelf: everything printable that the reader may open."""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import Any, cast

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.briefings.models import BriefingVersion
from heritage.common.access import Role
from heritage.common.models import Viewer
from heritage.dam.models import Ret
from heritage.gatherings.models import Gathering
from heritage.kits.signs import Kind
from heritage.machines.models import Machine, Stone
from heritage.people.models import Volunteer
from heritage.pictures.models import Picture
from heritage.season.models import Demonstration, Jurisdiction, Stage


@dataclass(frozen=True, slots=True)
class ProcessText:
    """The words of a stage's sheet.

    ``figures`` are claims, each with its source or none; ``steps_from`` says where
    everything else comes from. ``disputed`` tells where the sources differ.
    """

    what: str
    why: str
    how: tuple[str, ...]
    words: tuple[tuple[str, str], ...]
    cautions: tuple[tuple[Kind, str], ...]
    steps_from: str
    figures: tuple[tuple[str, str], ...]
    disputed: tuple[str, ...]
    drawing: str


@dataclass(frozen=True, slots=True)
class ProcessPage:
    """All that a stage's process sheet prints, in the measures of the place."""

    demonstration: Demonstration
    stage: Stage
    text: ProcessText
    picture: Picture | None

    @property
    def number(self) -> int:
        """The stage's place in the order from seed to fibre, from 1."""
        return list(Stage).index(self.stage) + 1


@cache
def process_texts() -> Mapping[str, ProcessText]:
    """Return the words of every stage's sheet, as they are kept."""
    kept = files("heritage.public").joinpath("process_sheets.json")
    rows = json.loads(kept.read_text(encoding="utf-8"))
    return {stage: _read(row, {}) for stage, row in rows.items()}


def process_page(demonstration: Demonstration, stage: Stage) -> ProcessPage:
    """Return a stage's process sheet for a demonstration: one query."""
    shown = Picture.objects.of(demonstration).published().at_stage(stage)
    return ProcessPage(
        demonstration=demonstration,
        stage=stage,
        text=_told_here(process_texts()[stage.value], demonstration),
        picture=shown.newest_first().first(),
    )


def emergency_words(demonstration: Demonstration) -> str:
    """Say whom to call in an emergency, as far as the place tells."""
    if demonstration.jurisdiction == Jurisdiction.ELSEWHERE:
        return "the emergency number"
    return "999 or 112"


def _told_here(text: ProcessText, demonstration: Demonstration) -> ProcessText:
    fields = {name: getattr(text, name) for name in ProcessText.__slots__}
    local = {
        "beets_per_stook": str(demonstration.beets_per_stook),
        "emergency": emergency_words(demonstration),
    }
    return _read(fields, local)


def _read(row: Mapping[str, Any], local: Mapping[str, str]) -> ProcessText:
    def say(words: str) -> str:
        return words.format_map(local) if local else words

    def pairs(kept: Any) -> tuple[tuple[str, str], ...]:
        return tuple((first, say(second)) for first, second in kept)

    return ProcessText(
        what=say(row["what"]),
        why=say(row["why"]),
        how=tuple(say(step) for step in row["how"]),
        words=pairs(row["words"]),
        cautions=cast(tuple[tuple[Kind, str], ...], pairs(row["cautions"])),
        steps_from=row["steps_from"],
        figures=pairs(row["figures"]),
        disputed=tuple(say(words) for words in row["disputed"]),
        drawing=row["drawing"],
    )


EVENINGS_SHOWN = 4
# The parts of the work, each with the stage it ends with.
PARTS = (
    (gettext_lazy("How it is done: in the field"), Stage.CARTING),
    (gettext_lazy("How it is done: at the water"), Stage.LIFTING),
    (gettext_lazy("How it is done: from straw to yarn"), Stage.SPINNING),
)


@dataclass(frozen=True, slots=True)
class SheetLink:
    """A printable sheet, in A4 and, by a query, in large print."""

    title: str
    about: str
    url: str

    @property
    def large(self) -> str:
        return f"{self.url}?large=1"


@dataclass(frozen=True, slots=True)
class Shelf:
    """One kind of sheets, with those that the reader may print."""

    title: str
    sheets: list[SheetLink]


def shelves(
    demonstration: Demonstration,
    user: Viewer,
    role: Role,
    volunteer: Volunteer | None,
    now: datetime,
) -> list[Shelf]:
    """Return the sheets that the reader may print: one query for a visitor, or six."""
    found = [_posters(demonstration, user, now)]
    if role >= Role.VOLUNTEER:
        found.append(_sign_in(demonstration, user, now))
        found.append(_briefings(demonstration))
        found.append(_safety(demonstration))
        found.append(_dam_logs(demonstration))
        found.append(_emergency(demonstration))
        found.append(_permissions(demonstration))
    if volunteer:
        found.append(_own_statement(demonstration, volunteer))
    found += _process(demonstration)
    return [shelf for shelf in found if shelf.sheets]


def _process(demonstration: Demonstration) -> list[Shelf]:
    texts, stages, found = process_texts(), list(Stage), []
    for title, last in PARTS:
        end = stages.index(last) + 1
        sheets = [
            SheetLink(
                stage.label.capitalize(),
                texts[stage.value].what,
                reverse("public:process_sheet", args=[demonstration.slug, stage.value]),
            )
            for stage in stages[:end]
        ]
        stages = stages[end:]
        found.append(Shelf(str(title), sheets))
    return found


def _posters(demonstration: Demonstration, user: Viewer, now: datetime) -> Shelf:
    rows = Gathering.objects.visible_to(user).of(demonstration).going_ahead()
    sheets = _by_evening(
        rows.upcoming(now)[:EVENINGS_SHOWN], demonstration, "public:poster"
    )
    return Shelf(_("Posters of the next gatherings"), sheets)


def _sign_in(demonstration: Demonstration, user: Viewer, now: datetime) -> Shelf:
    rows = Gathering.objects.led_by(user).of(demonstration).going_ahead()
    sheets = _by_evening(
        rows.upcoming(now)[:EVENINGS_SHOWN], demonstration, "gatherings:sign_in_sheet"
    )
    return Shelf(_("Sign-in and tally sheets, for the gate"), sheets)


def _briefings(demonstration: Demonstration) -> Shelf:
    versions = BriefingVersion.objects.of(demonstration).current()
    sheets = [
        SheetLink(
            version.briefing.title,
            _("version %d") % version.number,
            reverse(
                "briefings:briefing_sheet",
                args=[demonstration.slug, version.briefing_id],
            ),
        )
        for version in versions.select_related("briefing").order_by("briefing__title")
    ]
    return Shelf(_("Safety briefings"), sheets)


def _emergency(demonstration: Demonstration) -> Shelf:
    """Offer what hangs at the gate; each is printed blank where nothing is known."""
    named = [
        (
            _("Emergency sheet"),
            _("who decides, where you are, what to do"),
            "briefings:emergency_sheet",
        ),
        (
            _("Lost or found child"),
            _("a form to fill in by hand"),
            "incidents:child_sheet",
        ),
        (_("Stewards"), _("posts, names, the signal"), "grounds:steward_sheet"),
    ]
    sheets = [
        SheetLink(title, about, reverse(address, args=[demonstration.slug]))
        for title, about, address in named
    ]
    return Shelf(_("For an emergency"), sheets)


def _permissions(demonstration: Demonstration) -> Shelf:
    """Offer what somebody signs before a picture shows them."""
    slug = demonstration.slug
    sheets = [
        SheetLink(
            _("Permission, for an adult"),
            _("one page to sign"),
            reverse("pictures:adult_sheet", args=[slug]),
        ),
        SheetLink(
            _("Permission for a child"),
            _("a parent or guardian signs"),
            reverse("pictures:child_sheet", args=[slug]),
        ),
    ]
    return Shelf(_("Permission to show pictures"), sheets)


def _safety(demonstration: Demonstration) -> Shelf:
    """Return the assessment, the stones, and each machine with its daily check."""
    slug = demonstration.slug
    sheets = [
        SheetLink(
            _("Risk assessment"),
            _("every hazard with its controls"),
            reverse("briefings:risk_sheet", args=[slug]),
        )
    ]
    if Stone.objects.of(demonstration).exists():
        address = reverse("machines:stones_sheet", args=[slug])
        sheets += [SheetLink(_("Stones for the dam"), _("who may lift which"), address)]
    sheets += [
        SheetLink(
            machine.name,
            _("rules, and a table for the daily check"),
            reverse("machines:machine_sheet", args=[slug, machine.pk]),
        )
        for machine in Machine.objects.of(demonstration).by_name()
    ]
    return Shelf(_("Hazards, machines and stones"), sheets)


def _dam_logs(demonstration: Demonstration) -> Shelf:
    rets = Ret.objects.of(demonstration).going().newest_first()
    rows = list(rets.select_related("dam", "rota"))
    sheets = [
        SheetLink(
            ret.dam.name,
            _("readings and tests, to fill in by hand"),
            reverse("dam:log_sheet", args=[demonstration.slug, ret.pk]),
        )
        for ret in rows
    ]
    sheets += [
        SheetLink(
            _("Treading rota: %s") % ret.dam.name,
            _("who comes when, to tick and sign"),
            reverse("dam:rota_sheet", args=[demonstration.slug, ret.pk]),
        )
        for ret in rows
        if hasattr(ret, "rota")
    ]
    return Shelf(_("Dam logs and treading"), sheets)


def _own_statement(demonstration: Demonstration, volunteer: Volunteer) -> Shelf:
    address = reverse("tally:statement_sheet", args=[demonstration.slug, volunteer.pk])
    about = _("your beets, hours and token pay")
    return Shelf(_("Statement"), [SheetLink(_("My statement"), about, address)])


def _by_evening(
    gatherings: Iterable[Gathering], demonstration: Demonstration, name: str
) -> list[SheetLink]:
    return [
        SheetLink(
            row.title,
            date_format(row.starts_at.astimezone(demonstration.zone), "l j F"),
            reverse(name, args=[demonstration.slug, row.pk]),
        )
        for row in gatherings
    ]
