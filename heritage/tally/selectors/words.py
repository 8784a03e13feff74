"""The finish forecast in sentences, each with its range."""

from collections.abc import Iterator
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.tally.selectors.chances import percent
from heritage.tally.selectors.forecast import Finish, ForecastPage
from heritage.tally.selectors.weather import (
    FORESEEN_DOUBTFUL,
    FORESEEN_DRY,
    FORESEEN_WET,
)


def day_words(day: date) -> str:
    """Write a day as people say it."""
    return date_format(day, "l j F")


def likely_words(page: ForecastPage) -> str:
    """Say it in one sentence: the likely day, or that nobody can tell one yet."""
    shown = page.before
    if shown.is_wide and not page.has_counted_enough:
        if not page.progress.stand.is_measured:
            return _(
                "Too few counted evenings to say. Count the beets of one perch (a "
                "small patch) to know how much is left."
            )
        counted = page.rates.hand.evenings
        return (
            _(
                "Too few counted evenings to say: %d so far. Write in the beets of the "
                "next ones."
            )
            % counted
        )
    if page.left.likely == 0:
        return _("The field is likely to be done already.")
    if shown.even:
        return _("Likely done by %s.") % day_words(shown.even)
    return _("Not likely to be done on the evenings posted.")


def finish_words(finish: Finish) -> str:
    """Say when the field is done: an even chance, with the two ends."""
    if finish.last_day is None:
        return _("No pulling evening is posted, so there is nothing to reckon from.")
    if finish.even:
        said = _("An even chance that the field is done by %s.")
        said %= day_words(finish.even)
    else:
        said = _("Less than an even chance that the evenings posted are enough.")
    ends = _("If everything goes slowly: %(slow)s. If everything goes well: %(quick)s.")
    quick = _("it is done already")
    return f"{said} {ends}" % {
        "slow": _done_by(finish.even_slow),
        "quick": quick if finish.may_be_done else _done_by(finish.even_quick),
    }


def _done_by(day: date | None) -> str:
    if day is None:
        return _("not on the evenings posted")
    return _("by %s") % day_words(day)


def chance_words(finish: Finish) -> str:
    """Say how likely the evenings posted are to be enough, with the range."""
    said = _(
        "The chance that it is done when the last evening posted is over, %(day)s: "
        "%(likely)s, between %(low)s and %(high)s."
    )
    return said % {
        "day": day_words(finish.last_day) if finish.last_day else "",
        "likely": percent(finish.likely.chance),
        "low": percent(finish.slow.chance),
        "high": percent(finish.quick.chance),
    }


def weather_words(page: ForecastPage) -> str:
    """Say what the chances of a dry evening rest on."""
    record = page.weather
    held = _(
        "A dry day after a dry one: %(dry)s; after a wet one: %(wet)s. From %(count)d "
        "evenings with a call (%(dries)d dry, %(wets)d off for rain), of which "
        "%(pairs)d followed on the day before, mixed with a placeholder that weighs "
        "as much as ten."
    )
    bare = _(
        "A dry day after a dry one: %(dry)s; after a wet one: %(wet)s. Both are "
        "placeholders, without a source, until evenings were called here."
    )
    said = (held if record.evenings else bare) % {
        "dry": percent(record.dry_to_dry.likely),
        "wet": percent(record.wet_to_dry.likely),
        "count": record.evenings,
        "dries": record.dry,
        "wets": record.wet,
        "pairs": record.neighbours,
    }
    if page.read_at is None:
        return said
    return f"{said} {_forecast_words(page)}"


def _forecast_words(page: ForecastPage) -> str:
    return _(
        "The next days are from the weather forecast: an evening forecast dry counts "
        "as %(dry)s, doubtful as %(doubtful)s, wet as %(wet)s (placeholders, without "
        "a source)."
    ) % {
        "dry": percent(FORESEEN_DRY.likely),
        "doubtful": percent(FORESEEN_DOUBTFUL.likely),
        "wet": percent(FORESEEN_WET.likely),
    }


def warnings(page: ForecastPage) -> Iterator[str]:
    """Say where the light or the evenings run out before the crop."""
    if page.dark:
        said = ngettext(
            "The light ends before the posted time on one evening, by %(hours).1f "
            "hours: %(day)s, stop at %(stop)s. Only the light is reckoned.",
            "The light ends before the posted time on %(evenings)d evenings, by "
            "%(hours).1f hours in all. The first is %(day)s: stop at %(stop)s. Only "
            "the light is reckoned.",
            len(page.dark),
        )
        first = page.dark[0]
        stop = f"{first.stop:%H:%M}" if first.stop else _("the start, for it has none")
        yield said % {
            "evenings": len(page.dark),
            "hours": page.dark_hours,
            "day": day_words(first.day),
            "stop": stop,
        }
    if page.more_evenings:
        said = _(
            "The evenings posted run out before the crop does, as things look: post "
            "about %d more, or ask more people."
        )
        yield said % page.more_evenings
