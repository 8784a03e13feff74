"""The sheets shelf: everything printable that the reader may open."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.briefings.models import BriefingVersion
from heritage.common.access import Role
from heritage.common.models import Viewer
from heritage.dam.models import FillEvening, Ret
from heritage.gatherings.models import Gathering, GatheringQuerySet
from heritage.lots.models import Lot
from heritage.machines.models import Machine, Stone
from heritage.people.models import Volunteer
from heritage.pictures.models import Picture
from heritage.public.process.words import ProcessText, sheets_of
from heritage.season.models import Demonstration, Part, Stage
from heritage.tally.models import Entry

EVENINGS_SHOWN = 4


@dataclass(frozen=True, slots=True)
class SheetLink:
    """A printable sheet, in A4 and, by a query, in large print."""

    title: str
    about: str
    url: str
    has_large: bool = True
    has_a3: bool = False
    card: str = ""

    @property
    def a3(self) -> str:
        return f"{self.url}?a3=1" if self.has_a3 else ""

    @property
    def large(self) -> str:
        return f"{self.url}?large=1" if self.has_large else ""


@dataclass(frozen=True, slots=True)
class Shelf:
    """What somebody wants to do, with the sheets for it that the reader may print."""

    title: str
    sheets: list[SheetLink]


@dataclass(frozen=True, slots=True)
class Pack:
    """Sheets that are printed together, as one file.

    Those of the next evening are listed, since each is printed by its own rules.
    """

    name: str
    wanted: str
    sheets: list[SheetLink] = field(default_factory=list)
    has_large: bool = True

    @property
    def title(self) -> str:
        return title_for(self.wanted)


def title_for(wanted: str) -> str:
    """Say what sheets that are printed together are called."""
    return _("Everything for %s") % wanted


def for_hall() -> str:
    """Name a hall as somebody would who prints for it."""
    return _("the hall")


def for_school() -> str:
    """Name a school as somebody would who prints for it."""
    return _("a school")


@dataclass(frozen=True, slots=True)
class ShelfPage:
    """Every sheet that the reader may print, by what they want to do."""

    shelves: list[Shelf]
    packs: list[Pack]

    @property
    def number(self) -> int:
        """How many sheets there are, each counted once."""
        return sum(len(shelf.sheets) for shelf in self.shelves)

    @property
    def large_packs(self) -> list[Pack]:
        """Those that are not large already."""
        return [pack for pack in self.packs if pack.has_large]


def shelf_page(
    demonstration: Demonstration,
    user: Viewer,
    role: Role,
    volunteer: Volunteer | None,
    now: datetime,
) -> ShelfPage:
    """Return the sheets that the reader may print: two queries for visitors."""
    posters, process = _posters(demonstration, user, now), _process(demonstration)
    shelves, packs = [posters], list[Pack]()
    if role >= Role.VOLUNTEER:
        tonight, shelves = _for_helpers(demonstration, user, now, posters)
        packs = [tonight]
    pictures = _pictures(demonstration, role)
    shelves.append(Shelf(_("For the hall and the newspapers: pictures"), pictures))
    shelves += [_at_the_end(demonstration, volunteer, role), *process]
    shelves.append(_all_of_it(demonstration))
    packs += [
        Pack("hall", for_hall(), has_large=False),
        Pack("school", for_school()),
    ]
    return ShelfPage([shelf for shelf in shelves if shelf.sheets], packs)


def _for_helpers(
    demonstration: Demonstration, user: Viewer, now: datetime, posters: Shelf
) -> tuple[Pack, list[Shelf]]:
    """Return what is wanted on the next evening, and every shelf of a helper's."""
    nearest = _to_come(demonstration, user, now).first()
    heard = _briefings(demonstration)
    asked = nearest.stations.values_list("briefing", flat=True) if nearest else ()
    first = [heard.pop(key) for key in dict.fromkeys(asked) if key in heard]
    signed = _sign_in(demonstration, user, now)
    own = [signed.pop(nearest.pk)] if nearest and nearest.pk in signed else []
    dam, night = _dam_logs(demonstration), _night(nearest, demonstration, now)
    wanted = [*own, *first, *_emergency(demonstration)]
    return Pack("tonight", night, sheets=[*wanted, *dam]), [
        Shelf(_("For %s") % night, wanted),
        posters,
        Shelf(_("For other evenings"), [*signed.values(), *heard.values()]),
        Shelf(_("In the field"), [*_growing(demonstration), *_labels(demonstration)]),
        Shelf(_("At the dam"), dam),
        Shelf(_("In the store and the shed"), _shed(demonstration)),
        Shelf(_("Before pictures are shown"), _permissions(demonstration)),
        Shelf(_("For the safety folder"), _safety(demonstration)),
    ]


def _night(
    nearest: Gathering | None, demonstration: Demonstration, now: datetime
) -> str:
    """Name the next evening as somebody would who prints for it."""
    if nearest is None:
        return _("any evening")
    starts, zone = nearest.starts_at, demonstration.zone
    if starts.astimezone(zone).date() == now.astimezone(zone).date():
        return _("tonight")
    return date_format(starts.astimezone(zone), "l j F")


def _link(
    demonstration: Demonstration, title: str, about: str, name: str, *args: object
) -> SheetLink:
    return SheetLink(title, about, reverse(name, args=[demonstration.slug, *args]))


def _process(demonstration: Demonstration) -> list[Shelf]:
    return [
        Shelf(
            _("How it is done: %s") % part.label,
            [
                _process_sheet(demonstration, text)
                for stage in Stage.of_part(part)
                for text in sheets_of(stage)
            ],
        )
        for part in Part
    ]


def _process_sheet(demonstration: Demonstration, text: ProcessText) -> SheetLink:
    name = "public:process_sheet"
    link = _link(demonstration, text.heading, "", name, text.name)
    card = reverse("public:process_card", args=[demonstration.slug, text.name])
    return replace(link, has_a3=True, card=card)


def _all_of_it(demonstration: Demonstration) -> Shelf:
    """Offer every process sheet at once, and every card."""
    booklet, cards = _("From seed to fibre"), _("Cards for children")
    sheets = [
        _link(demonstration, booklet, _("every sheet"), "public:process_booklet"),
        _link(demonstration, cards, _("four to a page"), "public:process_cards"),
    ]
    return Shelf(
        _("All of it at once"), [replace(one, has_large=False) for one in sheets]
    )


def _to_come(
    demonstration: Demonstration, user: Viewer, now: datetime
) -> GatheringQuerySet:
    rows = Gathering.objects.visible_to(user).of(demonstration).going_ahead()
    return rows.upcoming(now)


def next_evening(demonstration: Demonstration, now: datetime) -> Gathering | None:
    """Return the gathering that is next, if one is posted: one query."""
    rows = Gathering.objects.of(demonstration).going_ahead()
    return rows.upcoming(now).for_page().first()


def _posters(demonstration: Demonstration, user: Viewer, now: datetime) -> Shelf:
    rows = _to_come(demonstration, user, now)[:EVENINGS_SHOWN]
    sheets = _by_evening(rows, demonstration, "public:poster").values()
    posters = [replace(one, has_a3=True) for one in sheets]
    return Shelf(_("To invite people: posters"), posters)


def _sign_in(
    demonstration: Demonstration, user: Viewer, now: datetime
) -> dict[int, SheetLink]:
    rows = Gathering.objects.led_by(user).of(demonstration).going_ahead()
    return _by_evening(
        rows.upcoming(now)[:EVENINGS_SHOWN], demonstration, "gatherings:sign_in_sheet"
    )


def _briefings(demonstration: Demonstration) -> dict[int, SheetLink]:
    """Return the sheets of the published briefings, by the briefing's key."""
    versions = BriefingVersion.objects.of(demonstration).current()
    named = _("Safety briefing: %s")
    return {
        version.briefing_id: _link(
            demonstration,
            named % version.briefing.title,
            _("one page to read out, the details after it; version %d")
            % version.number,
            "briefings:briefing_sheet",
            version.briefing_id,
        )
        for version in versions.select_related("briefing").order_by("briefing__title")
    }


def _emergency(demonstration: Demonstration) -> list[SheetLink]:
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
    return [_link(demonstration, *words_and_name) for words_and_name in named]


def _permissions(demonstration: Demonstration) -> list[SheetLink]:
    """Offer what somebody signs before a picture shows them."""
    adult, child = _("Permission, for an adult"), _("Permission for a child")
    signs = _("a parent or guardian signs")
    return [
        _link(demonstration, adult, _("one page to sign"), "pictures:adult_sheet"),
        _link(demonstration, child, signs, "pictures:child_sheet"),
    ]


def _pictures(demonstration: Demonstration, role: Role) -> list[SheetLink]:
    """Offer pictures on paper once visitors may see some, what hangs up first."""
    if not Picture.objects.of(demonstration).published().exists():
        return []
    panels, each = _("Panels"), _("one for each stage, to hang up")
    labels, eight = _("Labels for an exhibition"), _("one a picture, eight to a sheet")
    album, staged = _("Album"), _("by stage, with captions and credits")
    press, cleared = _("For the press"), _("only what is cleared for newspapers")
    contact, numbered = _("Contact sheet"), _("all, numbered, to choose from")
    hung = _link(demonstration, panels, each, "pictures:panel_sheets")
    told = _link(demonstration, album, staged, "pictures:album_sheet")
    shown = replace(told, has_a3=True)
    sheets = [replace(hung, has_a3=True, has_large=False), shown]
    if role < Role.ORGANISER:
        return sheets
    beside = _link(demonstration, labels, eight, "pictures:label_sheet")
    return [
        *sheets,
        replace(beside, has_a3=True, has_large=False),
        _link(demonstration, press, cleared, "pictures:press_sheet"),
        _link(demonstration, contact, numbered, "pictures:contact_sheet"),
    ]


def _safety(demonstration: Demonstration) -> list[SheetLink]:
    """Return the assessment, the stones, and each machine with its daily check."""
    risks, every = _("Risk assessment"), _("every hazard with its controls")
    sheets = [_link(demonstration, risks, every, "briefings:risk_sheet")]
    if Stone.objects.of(demonstration).exists():
        stones, who = _("Stones for the dam"), _("who may lift which")
        sheets.append(_link(demonstration, stones, who, "machines:stones_sheet"))
    check = _("rules, and a table for the daily check")
    sheets += [
        _link(demonstration, row.name, check, "machines:machine_sheet", row.pk)
        for row in Machine.objects.of(demonstration).by_name()
    ]
    return sheets


def _labels(demonstration: Demonstration) -> list[SheetLink]:
    """Offer labels once there is a lot to tie them on."""
    title, about = _("Labels for bundles"), _("one for each lot, eight to a sheet")
    has_lots = Lot.objects.of(demonstration).exists()
    link = _link(demonstration, title, about, "lots:label_sheet")
    return [replace(link, has_large=False)] if has_lots else []


def _growing(demonstration: Demonstration) -> list[SheetLink]:
    title, about = _("Looking at the crop"), _("when to pull, and rows to write in")
    return [_link(demonstration, title, about, "growth:growing_sheet")]


def _dam_logs(demonstration: Demonstration) -> list[SheetLink]:
    rows = Ret.objects.of(demonstration).going().newest_first()
    rets = list(rows.select_related("dam", "rota"))
    log = _("readings and tests, to fill in by hand")
    sheets = [
        _link(demonstration, ret.dam.name, log, "dam:log_sheet", ret.pk) for ret in rets
    ]
    rota, who = _("Treading rota: %s"), _("who comes when, to tick and sign")
    sheets += [
        _link(demonstration, rota % ret.dam.name, who, "dam:rota_sheet", ret.pk)
        for ret in rets
        if hasattr(ret, "rota")
    ]
    filling, loads = _("Filling evening: %s"), _("the plan, and a line for each load")
    evenings = FillEvening.objects.of(demonstration).to_come().select_related("dam")
    sheets += [
        _link(
            demonstration,
            filling % one.dam.name,
            loads,
            "dam:evening_sheet",
            one.dam_id,
        )
        for one in evenings.newest_first()
    ]
    return sheets


def _shed(demonstration: Demonstration) -> list[SheetLink]:
    """Offer what is written on in a shed, where no telephone wants to be."""
    store, work = _("Checks of the store"), _("Breaking, scutching, hackling")
    looks = _("air, heat and smell, with the cautions about fire")
    weights = _("weights in and out, the dust warning first")
    return [
        _link(demonstration, store, looks, "fibre:store_sheet"),
        _link(demonstration, work, weights, "fibre:session_sheet"),
    ]


def _at_the_end(
    demonstration: Demonstration, volunteer: Volunteer | None, role: Role
) -> Shelf:
    mine, about = _("My statement"), _("your beets, hours and token pay")
    every, page = _("All statements"), _("a page each")
    own, thanks = "tally:statement_sheet", _("All thank-you sheets")
    report, givers = _("The season's report"), _("for those who gave money or land")
    sheets = [_link(demonstration, mine, about, own, volunteer.pk)] if volunteer else []
    if role >= Role.ORGANISER and Entry.objects.of(demonstration).exists():
        sheets += [
            _link(demonstration, every, page, "tally:statements_sheet"),
            _link(demonstration, thanks, page, "tally:all_thanks_sheet"),
            _link(demonstration, report, givers, "desk:report_sheet"),
        ]
    return Shelf(_("At the end"), sheets)


def _by_evening(
    gatherings: Iterable[Gathering], demonstration: Demonstration, name: str
) -> dict[int, SheetLink]:
    zone = demonstration.zone
    return {
        row.pk: _link(
            demonstration,
            row.title,
            date_format(row.starts_at.astimezone(zone), "l j F"),
            name,
            row.pk,
        )
        for row in gatherings
    }
