"""What the dams, the growing crop and the field ask for."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.calc.dam import capacity
from heritage.dam.models import FillEvening, Ret, Water
from heritage.dam.selectors import DamState, RetState
from heritage.dam.treading.selectors import (
    TreadingMatters,
    treading_matters,
    turn_words,
)
from heritage.desk.harvest.selectors import chance_posted
from heritage.desk.harvest.words import in_ten
from heritage.desk.selectors import A_WEEK, Hour, Subject, Todo
from heritage.fibre.selectors import matters as fibre_matters
from heritage.growth.selectors import GrowingPage, Window
from heritage.lots.matters.selectors import crop_matters
from heritage.season.models import Demonstration
from heritage.tally.selectors import FieldProgress

TREAD_WITHIN = timedelta(hours=36)
READ_EVERY = timedelta(hours=24)
# How often somebody is to look at the crop: seldom, then every few days from a
# fortnight before it may be ready; and how long before the bands are asked for.
LOOK_EVERY = timedelta(days=14)
LOOK_WHEN_NEAR = timedelta(days=4)
NEARLY_READY = timedelta(days=14)
# How long after its likely window a crop is still looked at.
LOOKED_FOR = timedelta(days=21)
BANDS_ASKED = timedelta(days=21)
EVEN = 0.5


def of_land(
    demonstration: Demonstration,
    progress: FieldProgress,
    dams: tuple[DamState, ...],
    growing: GrowingPage,
    now: datetime,
) -> Iterator[Todo]:
    """Say what the dam, the crop and what it came to ask for: in that order."""
    yield from _of_dams(demonstration.slug, dams, now)
    yield from _of_fillings(demonstration, now)
    yield from _of_treading(demonstration, now)
    yield from _of_room(demonstration, progress, dams)
    yield from _of_harvest(demonstration, progress, dams, growing, now)
    yield from _of_crop(demonstration, progress, growing, now)
    yield from _of_lots(demonstration, now)
    yield from _of_fibre(demonstration, now)


def _of_dams(slug: str, dams: tuple[DamState, ...], now: datetime) -> Iterator[Todo]:
    for state in dams:
        if state.water == Water.SPENT:
            yield Todo(
                Subject.DAM,
                _("Ask what may be done with the water in %s")
                % state.dam.name_in_sentence,
                _(
                    "It's spent. Don't let it out. Ask the people who look after your "
                    "rivers, and keep the answer here."
                ),
                reverse("dam:water", args=[slug, state.dam.pk]),
                act=_("Add the answer"),
            )
        if state.ret:
            yield from _of_ret(slug, state.dam.name_in_sentence, state.ret, now)


def _of_fillings(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Lead to a filling that is planned, from a week before until the flax is in."""
    today = now.astimezone(demonstration.zone).date()
    for row in FillEvening.objects.of(demonstration).to_come().with_dam():
        at = row.starts_at.astimezone(demonstration.zone)
        ahead = at.date() - today
        if ahead <= A_WEEK:
            words, why = _filling_words(at, ahead.days)
            yield Todo(
                Subject.DAM,
                words % row.dam.name_in_sentence,
                why,
                reverse("dam:evening", args=[demonstration.slug, row.dam_id]),
                is_due=ahead.days <= 0,
                act=_("Open the filling"),
                hour=Hour.AFTERNOON,
            )


def _filling_words(at: datetime, ahead: int) -> tuple[str, str]:
    """Say what a filling so many days ahead asks for, and why."""
    if ahead < 0:
        planned = _("It was planned for %s.") % date_format(at, "l j F")
        return _("Was %s filled?"), planned
    starts = _("Carting starts at %s.") % date_format(at, "H:i")
    if ahead == 0:
        return _("Fill %s today"), starts
    return _("Get ready to fill %s"), f"{date_format(at, 'l j F')}. {starts}"


def _of_ret(slug: str, name: str, state: RetState, now: datetime) -> Iterator[Todo]:
    """Ask for a test that is due, and for the day's reading."""
    if state.is_test_due:
        yield Todo(
            Subject.DAM,
            _("Test the ret in %s") % name,
            _("Day %d in the dam. A day late weakens the fibre.") % state.day,
            reverse("dam:check_add", args=[slug, state.ret.pk]),
            is_due=True,
            act=_("Add a test"),
            hour=Hour.MORNING,
        )
    last = state.last_reading
    if last is None or now - last.at > READ_EVERY:
        yield Todo(
            Subject.DAM,
            _("Take the water temperature in %s") % name,
            _("Not checked for a day.")
            if last
            else _("Not checked yet. A reading shows the likely dates."),
            reverse("dam:reading_add", args=[slug, state.ret.pk]),
            is_due=True,
            act=_("Add a reading"),
            hour=Hour.MORNING,
            ret=state.ret,
        )


def _of_treading(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    matters, slug = treading_matters(demonstration, now), demonstration.slug
    for plan in matters.unbriefed:
        yield Todo(
            Subject.DAM,
            _("Choose the safety briefing for the treading in %s")
            % plan.ret.dam.name_in_sentence,
            _("Nobody can come to a turn until then."),
            reverse("dam:rota_plan", args=[slug, plan.ret_id]),
            is_due=True,
            act=_("Choose a briefing"),
        )
    for plan in matters.untaken:
        yield Todo(
            Subject.DAM,
            _("Work out the treading rota of %s") % plan.ret.dam.name_in_sentence,
            _("People have said when they can come. Nobody has a turn yet."),
            reverse("dam:rota_preview", args=[slug, plan.ret_id]),
            act=_("Work out the rota"),
        )
    for gap in matters.gaps:
        yield Todo(
            Subject.DAM,
            gap.words,
            _("Two tread, and somebody watches from the bank."),
            reverse("dam:turn", args=[slug, gap.turn.pk]),
            is_due=gap.turn.at - now < TREAD_WITHIN,
            act=_("Find somebody"),
            hour=Hour.MORNING,
        )
    yield from _of_turns(slug, matters)


def _of_turns(slug: str, matters: TreadingMatters) -> Iterator[Todo]:
    """Ask about the turns that are over."""
    faults = [(turn, _("One person trod alone on %s")) for turn in matters.alone]
    faults += [
        (turn, _("Nobody watched the treading on %s")) for turn in matters.unwatched
    ]
    for turn, words in faults:
        yield Todo(
            Subject.DAM,
            words % turn_words(turn),
            turn.why_alone,
            reverse("dam:treading", args=[slug, turn.plan.ret_id]),
            is_due=True,
            act=_("See the treading"),
        )
    for turn in matters.unwritten:
        yield Todo(
            Subject.DAM,
            _("Who trod on %s?") % turn_words(turn),
            _("Not noted yet."),
            reverse("dam:treading_record", args=[slug, turn.pk]),
            act=_("Say who trod"),
            hour=Hour.MORNING,
        )


def _of_room(
    demonstration: Demonstration, progress: FieldProgress, dams: tuple[DamState, ...]
) -> Iterator[Todo]:
    """Warn where the dams may be full before the field is empty."""
    if not (dams and progress.has_stand):
        return
    beet_kg = demonstration.beet_kg
    free = [
        capacity(state.dam.basin, beet_kg=beet_kg) for state in dams if state.is_clean
    ]
    low, high = sum(room.low for room in free), sum(room.high for room in free)
    steeped = Ret.objects.of(demonstration).beets()
    most = max(progress.stand.high, progress.beets) - steeped
    least = max(0, max(progress.stand.low, progress.beets) - steeped)
    if most <= low:
        return
    words = _(
        "Clean water may take %(low)d to %(high)d beets; %(least)d to %(most)d may "
        "still have to go in. Both are estimates."
    )
    if not free:
        words = _(
            "No dam has clean water now. About %(least)d to %(most)d beets may still "
            "have to go in."
        )
    yield Todo(
        Subject.DAM,
        _("The dam may fill up before the field is done"),
        words % {"low": low, "high": high, "least": least, "most": most},
        reverse("dam:list", args=[demonstration.slug]),
        act=_("See the dam"),
    )


def _of_harvest(
    demonstration: Demonstration,
    progress: FieldProgress,
    dams: tuple[DamState, ...],
    growing: GrowingPage,
    now: datetime,
) -> Iterator[Todo]:
    """Say when the harvest is less likely than not to be in time, as it is posted."""
    window = growing.window_of(progress.standing)
    chance = chance_posted(demonstration, progress, dams, window, now)
    if chance is not None and chance < EVEN:
        words = _("The chance that the field is pulled in time: %s.")
        if dams:
            words = _("The chance that it's pulled and under water in time: %s.")
        yield Todo(
            Subject.CROP,
            _("Look at the plan of the harvest"),
            words % in_ten(chance),
            reverse("desk:harvest", args=[demonstration.slug]),
            act=_("See the plan"),
        )


def _of_crop(
    demonstration: Demonstration,
    progress: FieldProgress,
    page: GrowingPage,
    now: datetime,
) -> Iterator[Todo]:
    """Ask to look at the growing crop: nothing any more once beets are tied."""
    slug = demonstration.slug
    if progress.beets or page.pulled or not page.plots:
        return
    day = now.astimezone(demonstration.zone).date()
    if page.window is None:
        yield Todo(
            Subject.CROP,
            _("Say when the crop was sown"),
            _("Then you see when it may be ready to pull."),
            reverse("growth:sow", args=[slug, page.plots[0].plot.pk]),
            act=_("Add the day"),
        )
        return
    if day <= page.window.last + LOOKED_FOR:
        yield from _of_looking(slug, page.window, day)
        yield from _of_bands(slug, page, day)


def _of_looking(slug: str, window: Window, day: date) -> Iterator[Todo]:
    """Ask for a look at the crop, every few days once it may be ready."""
    near = day >= window.first - NEARLY_READY
    seen, every = window.seen_on, LOOK_WHEN_NEAR if near else LOOK_EVERY
    if seen and day - seen < every:
        return
    looked = (
        _("Last looked at on %s.") % date_format(seen, "j F")
        if seen
        else _("Not looked at yet.")
    )
    ready = _("Likely ready %s.") % window.words
    yield Todo(
        Subject.CROP,
        _("See whether the crop is ready to pull") if near else _("Look at the crop"),
        f"{ready} {looked}",
        reverse("growth:observe", args=[slug]),
        is_due=day >= window.first,
        act=_("Say what you see"),
        hour=Hour.MORNING,
    )


def _of_bands(slug: str, page: GrowingPage, day: date) -> Iterator[Todo]:
    """Ask for the bands some weeks before they are tied, since rushes dry first."""
    if page.bands_by is None or day < page.bands_by - BANDS_ASKED:
        return
    words = _("About %(bands)d, in bundles of 60: %(bundles)d, by %(day)s.")
    figures = {
        "bands": page.bands.bands,
        "bundles": page.bands.bundles,
        "day": date_format(page.bands_by, "j F"),
    }
    yield Todo(
        Subject.CROP,
        _("Cut rushes and make the bands"),
        words % figures,
        reverse("growth:growing", args=[slug]),
        is_due=day >= page.bands_by,
        act=_("See the crop"),
    )


def _of_fibre(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Say what wants doing after the dam, until the last strick."""
    for one in fibre_matters(demonstration, now):
        yield Todo(Subject.CROP, one.words, one.why, one.url, is_due=one.is_due)


def _of_lots(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Ask for lots to be settled and for carts to be emptied."""
    matters, slug = crop_matters(demonstration, now), demonstration.slug
    for line in matters.short:
        words = ngettext(
            "%d beet more was moved than the tally has.",
            "%d beets more were moved than the tally has.",
            line.short,
        )
        yield Todo(
            Subject.CROP,
            _("Settle %s") % line.lot,
            words % line.short,
            reverse("lots:lot", args=[slug, line.lot.pk]),
            is_due=True,
        )
    for one in matters.carts:
        since = one.since.astimezone(demonstration.zone)
        words = ngettext(
            "%(beets)d beet of %(lot)s has been on it since %(day)s.",
            "%(beets)d beets of %(lot)s have been on it since %(day)s.",
            one.beets,
        )
        figures = {"beets": one.beets, "lot": one.lot, "day": date_format(since, "l")}
        yield Todo(
            Subject.CROP,
            _("Empty the cart"),
            words % figures,
            reverse("lots:lot", args=[slug, one.lot.pk]),
            is_due=True,
        )


def of_field(demonstration: Demonstration, progress: FieldProgress) -> Iterator[Todo]:
    """Ask for one counted patch, until the share of the field is known by one."""
    if progress.has_stand and not progress.stand.is_measured:
        yield Todo(
            Subject.CROP,
            _("Count one small patch"),
            _("Then you know how much of the field is left."),
            reverse("desk:settings", args=[demonstration.slug]),
            act=_("Add the count"),
        )
