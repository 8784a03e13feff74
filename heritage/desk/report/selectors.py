"""What the season came to, for those who gave money or land: each figure's source."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Final

from django.db.models import Count, Sum
from django.urls import reverse
from django.utils.formats import number_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.fibre import Step
from heritage.fibre.selectors import account_page
from heritage.gatherings.models import Gathering, Turnout
from heritage.growth.selectors import stages_seen
from heritage.lots.matters.selectors import stages_followed
from heritage.pictures.models import Picture, PictureQuerySet
from heritage.season.models import Demonstration, Plot
from heritage.season.selectors import StageLine, season
from heritage.tally.models import Entry
from heritage.tally.selectors import hours_by

HECTARE_M2: Final = 10_000


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure, with the rows it was added up from and where they are."""

    what: str
    value: str
    source: str
    url: str


@dataclass(frozen=True, slots=True)
class EveningRow:
    """One gathering that people came to: the rows most figures are made of."""

    day: date
    title: str
    people: int
    hours: Decimal
    beets: int


@dataclass(frozen=True, slots=True)
class Report:
    """The season's report."""

    demonstration: Demonstration
    figures: tuple[Figure, ...]
    evenings: tuple[EveningRow, ...]
    stages: tuple[StageLine, ...]
    pictures: PictureQuerySet
    people: int
    hours: Decimal
    beets: int

    @property
    def lead(self) -> str:
        """The season in one sentence."""
        if not self.evenings:
            return _("Nobody has come to an evening yet, so there is little to report.")
        words = ngettext(
            "%(people)d person gave %(hours)s hours and pulled %(beets)s beets.",
            "%(people)d people gave %(hours)s hours and pulled %(beets)s beets.",
            self.people,
        )
        return words % {
            "people": self.people,
            "hours": _hours(self.hours),
            "beets": number_format(self.beets, force_grouping=True),
        }


def report(demonstration: Demonstration) -> Report:
    """Gather the season's figures: a fixed number of queries."""
    turnout = Turnout.objects.of(demonstration)
    came = list(turnout.values_list("gathering", "volunteer", "left_at"))
    sums = {
        row.key: row.beets
        for row in Entry.objects.of(demonstration).summed_by("gathering")
    }
    pulled_by = set(Entry.objects.of(demonstration).values_list("volunteer", flat=True))
    hours = hours_by(demonstration, "gathering")
    people = len({person for _evening, person, _left in came} | pulled_by)
    rows = tuple(_evenings(demonstration, came, sums, hours))
    totals = sum((row.hours for row in rows), Decimal(0)), sum(sums.values())
    followed = stages_seen(demonstration) | stages_followed(demonstration)
    still_open = sum(left is None for _evening, _person, left in came)
    return Report(
        demonstration=demonstration,
        figures=(
            *_of_people(demonstration, rows, people, totals, still_open),
            *_of_the_crop(demonstration, totals[1]),
            _of_pictures(demonstration),
        ),
        evenings=rows,
        stages=tuple(
            line for line in season(demonstration, followed).stages if line.done
        ),
        pictures=Picture.objects.of(demonstration).published().in_place(),
        people=people,
        hours=totals[0],
        beets=totals[1],
    )


def _evenings(
    demonstration: Demonstration,
    came: Sequence[tuple[int, int, object]],
    sums: dict[int, int],
    hours: dict[int, Decimal],
) -> list[EveningRow]:
    people: dict[int, set[int]] = {}
    for evening, person, _left in came:
        people.setdefault(evening, set()).add(person)
    gatherings = Gathering.objects.filter(pk__in={*people, *sums}).in_order()
    return [
        EveningRow(
            day=row.starts_at.astimezone(demonstration.zone).date(),
            title=row.title,
            people=len(people.get(row.pk, ())),
            hours=hours.get(row.pk, Decimal(0)),
            beets=sums.get(row.pk, 0),
        )
        for row in gatherings
    ]


def _of_people(
    demonstration: Demonstration,
    rows: tuple[EveningRow, ...],
    people: int,
    totals: tuple[Decimal, int],
    still_open: int,
) -> list[Figure]:
    gate = _("who was at the gate, evening by evening below")
    counted = _("from coming to leaving, evening by evening below")
    if still_open:
        left_out = ngettext(
            "%(rows)s; %(count)d stay without a time of leaving is left out",
            "%(rows)s; %(count)d stays without a time of leaving are left out",
            still_open,
        )
        counted = left_out % {"rows": counted, "count": still_open}
    board = reverse("tally:board", args=[demonstration.slug])
    evenings = reverse("gatherings:list", args=[demonstration.slug])
    return [
        Figure(_("Evenings and days of work"), str(len(rows)), gate, evenings),
        Figure(_("People who came"), str(people), gate, board),
        Figure(_("Hours given"), _hours(totals[0]), counted, board),
        _of_visitors(demonstration, evenings),
    ]


def _of_visitors(demonstration: Demonstration, url: str) -> Figure:
    counted = Gathering.objects.of(demonstration).aggregate(
        times=Count("visitors"), visitors=Sum("visitors")
    )
    if not counted["times"]:
        source = _("nobody counted: add how many came, and who counted")
        return Figure(_("Visitors"), "", source, url)
    source = ngettext(
        "counted or guessed at %d gathering, on its last sheet",
        "counted or guessed at %d gatherings, on the last sheet of each",
        counted["times"],
    )
    came = number_format(counted["visitors"], force_grouping=True)
    return Figure(_("Visitors"), came, source % counted["times"], url)


def _of_the_crop(demonstration: Demonstration, beets: int) -> list[Figure]:
    slug = demonstration.slug
    area = sum((plot.area_m2 for plot in Plot.objects.of(demonstration)), Decimal(0))
    page = account_page(demonstration)
    weighed = {step.step: step.measured_kg for step in page.steps}
    moves = _("the moves that were weighed, as air-dry fibre")
    account = reverse("fibre:account", args=[slug])
    rows = [
        (_("Line (long fibre)"), weighed.get(Step.LINE, 0)),
        (_("Tow (short fibre)"), page.tow_kg),
        (_("Shive (the wood)"), page.shive_kg),
    ]
    return [
        Figure(
            _("Land under the crop"),
            _("%s ha") % number_format(area / HECTARE_M2, 2),
            _("the plots, as they were measured"),
            reverse("desk:season", args=[slug]),
        ),
        Figure(
            _("Beets pulled"),
            number_format(beets, force_grouping=True),
            _("the tally book, evening by evening below"),
            reverse("tally:board", args=[slug]),
        ),
        *(
            Figure(what, _("%s kg") % number_format(kilograms, 1), moves, account)
            for what, kilograms in rows
            if kilograms
        ),
    ]


def _of_pictures(demonstration: Demonstration) -> Figure:
    rows = Picture.objects.of(demonstration).not_closed()
    everything, shown = rows.count(), rows.published().count()
    return Figure(
        _("Pictures"),
        _("%(count)d, %(shown)d of them shown") % {"count": everything, "shown": shown},
        _("the picture record"),
        reverse("pictures:list", args=[demonstration.slug]),
    )


def _hours(hours: Decimal) -> str:
    return number_format(hours, 1, force_grouping=True)
