"""What machines are told of a demonstration: its card, its dates, its news."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from hashlib import sha256

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.common.models import Viewer
from heritage.gatherings.models import Gathering
from heritage.gatherings.selectors import GatheringLine, next_gatherings
from heritage.public.selectors import Front, front
from heritage.public.story.selectors import season_here
from heritage.season.models import Demonstration, Stage
from heritage.season.selectors import StageLine

DATES_TOLD = 12


@dataclass(frozen=True, slots=True)
class Card:
    """What a link shows: how things stand, when to come, how much still stands."""

    name: str
    says: str
    when: str
    standing: float

    @property
    def version(self) -> str:
        """What changes whenever the card would."""
        return sha256(repr(self).encode()).hexdigest()[:12]


@dataclass(frozen=True, slots=True)
class News:
    """One thing told in the feed; ``key`` never changes, ``at`` is its last change."""

    key: str
    title: str
    says: str
    path: str
    at: datetime


def card_of(page: Front) -> Card:
    """Say what the card of a demonstration shows."""
    progress = page.progress
    standing = 1 - progress.likely_percent / 100 if progress.has_stand else 0.6
    return Card(
        name=page.demonstration.name,
        says=page.sentence,
        when=page.invitation,
        # In twentieths: a card need not change with every beet.
        standing=round(standing * 20) / 20,
    )


def card(demonstration: Demonstration, user: Viewer, now: datetime) -> Card:
    """Return the card of a demonstration, for somebody who may see it."""
    return card_of(front(demonstration, user, now))


def news(demonstration: Demonstration, user: Viewer, now: datetime) -> list[News]:
    """Return the dates ahead and what the season came to, the newest first."""
    dates = next_gatherings(demonstration, now, user, DATES_TOLD)
    told = [_of_date(line) for line in dates]
    day = now.astimezone(demonstration.zone).date()
    for line in season_here(demonstration).stages:
        told += _of_stage(demonstration, line, day)
    return sorted(told, key=lambda one: one.at, reverse=True)


def _of_date(line: GatheringLine) -> News:
    row = line.gathering
    starts = row.starts_at.astimezone(row.demonstration.zone)
    return News(
        key=row.uid,
        title=f"{row.title}, {date_format(starts, 'l j F')}",
        says=_state(line) + f" {starts:%H:%M}, {row.place}.",
        path=row.get_absolute_url(),
        at=max([row.revised_at, *([line.call.made_at] if line.call else [])]),
    )


def _state(line: GatheringLine) -> str:
    if line.gathering.is_called_off:
        return _("Called off.")
    if line.is_on_hold:
        return _("Wait and see.")
    return _("Going ahead.") if line.call else _("Planned.")


def _of_stage(
    demonstration: Demonstration, line: StageLine, today: date
) -> Iterator[News]:
    """Tell that a stage began, and that it is done."""
    if line.done is None:
        return
    name = line.stage.label.capitalize()
    ends = [("began", line.done.first, _("%s has begun") % name)]
    if line.done.last and line.done.last != line.done.first:
        ends.append(("done", line.done.last, _("%s is done") % name))
    for what, day, title in ends:
        if day <= today:
            yield News(
                key=f"{demonstration.slug}-{line.stage.value}-{what}",
                title=title,
                says=line.record.note if line.record else "",
                path=reverse(
                    "public:stage", args=[demonstration.slug, line.stage.value]
                ),
                at=datetime.combine(day, time(12), UTC),
            )


@dataclass(frozen=True, slots=True)
class Address:
    """A page that visitors may read, and when it last changed, if that is known."""

    path: str
    changed: datetime | None = None


def addresses(now: datetime) -> list[Address]:
    """Return every page that a stranger may read: two queries."""
    found = [Address(reverse("public:home"))]
    for row in Demonstration.objects.filter(is_public=True).newest_first():
        found += [Address(path) for path in _pages(row)]
    dates = Gathering.objects.filter(demonstration__is_public=True).published()
    rows = dates.upcoming(now).select_related("demonstration")
    found += [Address(row.get_absolute_url(), row.revised_at) for row in rows]
    return found


def _pages(row: Demonstration) -> Iterator[str]:
    for name in ("demonstration", "story", "shelf"):
        yield reverse(f"public:{name}", args=[row.slug])
    for stage in Stage:
        yield reverse("public:stage", args=[row.slug, stage.value])
    yield reverse("gatherings:list", args=[row.slug])
    yield reverse("pictures:list", args=[row.slug])
