"""The organiser's day: the light, the field, the dam, and what needs doing."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.briefings.hazards.selectors import overdue_hazards
from heritage.calc.dam import capacity
from heritage.common.models import Chore, LastRun
from heritage.dam.models import Ret, Water
from heritage.dam.selectors import DamState, dam_states
from heritage.dam.treading.selectors import (
    TreadingMatters,
    treading_matters,
    turn_words,
)
from heritage.desk.harvest.selectors import chance_posted
from heritage.desk.harvest.words import in_ten
from heritage.fibre.selectors import matters as fibre_matters
from heritage.fieldlog.selectors import evenings_to_settle
from heritage.gatherings.asked.selectors import machine_warnings
from heritage.gatherings.ground.selectors import Light, light_of_day
from heritage.gatherings.letters.selectors import waits_for_round
from heritage.gatherings.models import Gathering, GatheringQuerySet, Turnout
from heritage.gatherings.selectors import GatheringLine, gathering_lines
from heritage.growth.selectors import (
    GrowingPage,
    Window,
    growing_page,
    pulling_window,
)
from heritage.incidents.selectors import open_matters
from heritage.lots.matters.selectors import crop_matters
from heritage.people.competences.selectors import claims_waiting
from heritage.people.letters.selectors import to_look_at
from heritage.people.models import User
from heritage.pictures.models import Picture
from heritage.privacy.complaining.selectors import asked_of_us
from heritage.privacy.keeping.selectors import is_anything_due
from heritage.season.models import Demonstration, Stage
from heritage.season.selectors import Season
from heritage.tally.models import Entry
from heritage.tally.selectors import FieldProgress, field_progress


@dataclass(frozen=True, slots=True)
class Todo:
    """One thing that needs doing, and the address that does it."""

    words: str
    why: str
    url: str
    is_due: bool = False


# House rules: deleting is called each night, tending every few minutes.
TIDY_WITHIN = timedelta(days=2)
TEND_WITHIN = timedelta(hours=1)


def of_asked(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Ask for an answer to complaints and to who would be erased: two queries."""
    asked, slug = asked_of_us(demonstration, now), demonstration.slug
    if asked.days_left is not None:
        yield Todo(
            _("Acknowledge the complaint"),
            _("The days for it are past.")
            if asked.days_left < 0
            else ngettext("%d day is left.", "%d days are left.", asked.days_left)
            % asked.days_left,
            reverse("privacy:complaints", args=[slug]),
            is_due=True,
        )
    if asked.erasures:
        words = ngettext(
            "%d waits. It is answered within a month of the asking.",
            "%d wait. Each is answered within a month of the asking.",
            asked.erasures,
        )
        yield Todo(
            _("Look at who asks to be erased"),
            words % asked.erasures,
            reverse("privacy:erasures", args=[slug]),
            is_due=True,
        )


def of_upkeep(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Say which of the site's own work stands still while something waits for it.

    One query while all is well, and a fixed number more for what stands still.
    """
    runs = LastRun.objects.by_chore()
    yield from _of_tidy(demonstration, runs.get(Chore.TIDY), now)
    yield from _of_tend(demonstration, runs.get(Chore.TEND), now)


def _of_tidy(
    demonstration: Demonstration, run: LastRun | None, now: datetime
) -> Iterator[Todo]:
    if run and now - run.at <= TIDY_WITHIN:
        return
    if is_anything_due(demonstration, now):
        yield Todo(
            _("What is due to be deleted still lies here"),
            _(
                "%s Look at it and delete it here, and ask the person who keeps the "
                "site to have “manage.py tidy --carry-out” run each night."
            )
            % _since(_("The nightly deleting"), run, demonstration),
            reverse("privacy:due", args=[demonstration.slug]),
            is_due=True,
        )


def _of_tend(
    demonstration: Demonstration, run: LastRun | None, now: datetime
) -> Iterator[Todo]:
    letters = reverse("people:letters", args=[demonstration.slug])
    if run and now - run.at <= TEND_WITHIN:
        if run.trouble:
            yield Todo(
                _("Part of the site's own work fails"),
                _("%s The person who keeps the site finds the reason in its log.")
                % run.trouble,
                letters,
                is_due=True,
            )
        return
    waiting = waits_for_round(demonstration, now)
    if waiting:
        yield Todo(
            _("Letters and answers stand still"),
            _have_tended(
                waiting, _since(_("The work every few minutes"), run, demonstration)
            ),
            letters,
            is_due=True,
        )


def _have_tended(waiting: Iterable[str], since: str) -> str:
    words = _(
        "%(since)s %(waiting)s Ask the person who keeps the site to have %(command)s."
    )
    return words % {
        "since": since,
        "waiting": " ".join(waiting),
        "command": _("“manage.py tend” run every few minutes"),
    }


def _since(what: str, run: LastRun | None, demonstration: Demonstration) -> str:
    if run is None:
        return _("%s has never been done.") % what
    at = run.at.astimezone(demonstration.zone)
    return _("%(what)s was last done on %(day)s at %(time)s.") % {
        "what": what,
        "day": date_format(at, "j F Y"),
        "time": f"{at:%H:%M}",
    }


CALL_WITHIN = timedelta(hours=30)
FILL_WITHIN = timedelta(days=4)
TREAD_WITHIN = timedelta(hours=36)
READ_EVERY = timedelta(hours=24)
# How far back a forgotten sign-in or tally sheet is still asked for.
ASKED_FOR = timedelta(days=21)
SHOWN_AHEAD = 3
# How often somebody is to look at the crop: seldom, then every few days from a
# fortnight before it may be ready; and how long before the bands are asked for.
LOOK_EVERY = timedelta(days=14)
LOOK_WHEN_NEAR = timedelta(days=4)
NEARLY_READY = timedelta(days=14)
# From then on evenings are to be posted and a perch counted. Our own choice.
HARVEST_NEARS = timedelta(days=21)
BANDS_ASKED = timedelta(days=21)
EVEN = 0.5


@dataclass(frozen=True, slots=True)
class Today:
    """All that the organiser's first page shows."""

    day: date
    light: Light
    next_up: list[GatheringLine]
    progress: FieldProgress
    dams: tuple[DamState, ...]
    todos: list[Todo]

    @property
    def tonight(self) -> GatheringLine | None:
        """The gathering of today's evening, if there is one."""
        return next((row for row in self.next_up if row.light.day == self.day), None)


def today(demonstration: Demonstration, user: User, now: datetime) -> Today:
    """Return the organiser's day: the same number of queries whatever the season."""
    mine = Gathering.objects.managed_by(user).of(demonstration).for_page()
    ahead = gathering_lines(mine.published().upcoming(now)[: SHOWN_AHEAD * 2])
    dams = dam_states(demonstration, now)
    progress = field_progress(demonstration)
    growing = growing_page(demonstration, now)
    slug, day = demonstration.slug, now.astimezone(demonstration.zone).date()
    nears = _harvest_nears(growing.window, day)
    todos = [
        *_of_gatherings(slug, ahead, now, is_due=nears),
        *_of_first_aid(slug, ahead, now),
        *_of_past(slug, mine, now),
        *_of_dams(slug, dams, now),
        *_of_treading(demonstration, now),
        *_of_machines(slug, ahead, now),
        *_of_the_rest(demonstration, now),
        *_of_room(demonstration, progress, dams),
        *_of_harvest(demonstration, progress, dams, growing, now),
        *_of_crop(demonstration, progress, growing, now),
        *_of_lots(demonstration, now),
        *_of_fibre(demonstration, now),
        *(_of_field(demonstration, progress) if nears else ()),
    ]
    return Today(
        day=day,
        light=light_of_day(demonstration, day),
        next_up=ahead[:SHOWN_AHEAD],
        progress=progress,
        dams=dams,
        todos=sorted(todos, key=lambda todo: not todo.is_due),
    )


def _of_the_rest(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Ask for what hangs on no evening and no dam."""
    yield from _of_names(demonstration)
    yield from _of_safety(demonstration, now)
    yield from _of_incidents(demonstration)
    yield from _of_letters(demonstration, now)
    yield from of_asked(demonstration, now)
    yield from of_upkeep(demonstration, now)
    yield from _of_claims(demonstration)
    yield from _of_pictures(demonstration)


def _harvest_nears(window: Window | None, day: date) -> bool:
    """Whether it is time to post evenings; it always is while nobody can tell."""
    return window is None or day >= window.first - HARVEST_NEARS


def _of_gatherings(
    slug: str, ahead: list[GatheringLine], now: datetime, *, is_due: bool
) -> Iterator[Todo]:
    if not ahead:
        yield Todo(
            _("Post the next evening"),
            _("No gathering is posted."),
            reverse("gatherings:post", args=[slug]),
            is_due=is_due,
        )
    for line in ahead:
        if not line.gathering.is_called_off:
            yield from _of_evening(slug, line, now)


def _of_evening(slug: str, line: GatheringLine, now: datetime) -> Iterator[Todo]:
    row = line.gathering
    is_near = row.starts_at - now < CALL_WITHIN
    if line.call is None and is_near:
        yield Todo(
            _("Make the call for %s") % _dated(row),
            _("It has begun, and nobody knows yet if it's going ahead.")
            if row.starts_at <= now
            else _("It begins soon, and nobody knows yet if it's going ahead."),
            reverse("gatherings:call", args=[slug, row.pk]),
            is_due=True,
        )
    if line.is_on_hold and is_near:
        yield Todo(
            _("Decide on %s") % _dated(row),
            _("It's on hold: people wait for word before they set out."),
            reverse("gatherings:call", args=[slug, row.pk]),
            is_due=True,
        )
    # Nobody signs up once it has begun.
    if (line.free or line.short) and now < row.starts_at < now + FILL_WITHIN:
        yield Todo(
            _("Find people for %s") % _dated(row),
            _hands(line),
            reverse("gatherings:gathering", args=[slug, row.pk]),
            is_due=bool(line.short) and is_near,
        )


def _of_first_aid(
    slug: str, ahead: list[GatheringLine], now: datetime
) -> Iterator[Todo]:
    """Ask for a first-aider: one line for the next evening without one, and more."""
    rows = [line.gathering for line in ahead]
    without = [
        row for row in rows if row.first_aider_id is None and not row.is_called_off
    ]
    if not without:
        return
    first, *others = without
    why = [_("No first-aider is chosen. Choose one before people come.")]
    if others:
        why.append(_("Also for %s.") % "; ".join(_dated(row) for row in others))
    yield Todo(
        _("Choose a first-aider for %s") % _dated(first),
        " ".join(why),
        reverse("gatherings:edit", args=[slug, first.pk]),
        is_due=first.starts_at - now < CALL_WITHIN,
    )


def _hands(line: GatheringLine) -> str:
    """Say which stations cannot begin for want of hands, then what is free."""
    sentences = [f"{one.station}: {one.filling.words}." for one in line.short]
    if line.free:
        words = ngettext("%d place is free.", "%d places are free.", line.free)
        sentences.append(words % line.free)
    return " ".join(sentences)


def _of_past(slug: str, mine: GatheringQuerySet, now: datetime) -> Iterator[Todo]:
    rows = mine.going_ahead().over(now).filter(ends_at__gt=now - ASKED_FOR)
    keys = [row.pk for row in rows]
    attended = _named(Turnout.objects.filter(gathering__in=keys))
    tallied = _named(Entry.objects.filter(gathering__in=keys))
    for row in rows:
        if row.pk not in attended:
            yield Todo(
                _("Put down who came to %s") % _dated(row),
                _("The sign-in sheet has not been written in."),
                reverse("gatherings:turnout", args=[slug, row.pk]),
                is_due=True,
            )
        elif row.stage == Stage.PULLING and row.pk not in tallied:
            yield Todo(
                _("Write in the beets of %s") % _dated(row),
                _("People came, but the book has no beets."),
                reverse("tally:log", args=[slug, row.pk]),
                is_due=True,
            )


def _of_dams(slug: str, dams: tuple[DamState, ...], now: datetime) -> Iterator[Todo]:
    for state in dams:
        ret, name = state.ret, state.dam.name
        if state.water == Water.SPENT:
            yield Todo(
                _("Ask the regulator about the water in %s") % name,
                _("It's spent. Don't let it out, and write down the answer."),
                reverse("dam:water", args=[slug, state.dam.pk]),
            )
        if ret is None:
            continue
        if ret.is_test_due:
            yield Todo(
                _("Test the ret in %s") % name,
                _("A day late weakens the fibre. Test, then decide."),
                reverse("dam:check_add", args=[slug, ret.ret.pk]),
                is_due=True,
            )
        if ret.last_reading is None or now - ret.last_reading.at > READ_EVERY:
            yield Todo(
                _("Read the water in %s") % name,
                _("No temperature has been written down for a day."),
                reverse("dam:reading_add", args=[slug, ret.ret.pk]),
                is_due=True,
            )


def _of_treading(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    matters, slug = treading_matters(demonstration, now), demonstration.slug
    for plan in matters.unbriefed:
        yield Todo(
            _("Choose the safety briefing for the treading in %s") % plan.ret.dam.name,
            _("Until then nobody can come to a turn."),
            reverse("dam:rota_plan", args=[slug, plan.ret_id]),
            is_due=True,
        )
    for plan in matters.untaken:
        yield Todo(
            _("Work out the treading rota of %s") % plan.ret.dam.name,
            _("People say when they can come; nobody has been given a turn yet."),
            reverse("dam:rota_preview", args=[slug, plan.ret_id]),
        )
    for gap in matters.gaps:
        yield Todo(
            gap.words,
            _("Two tread, and somebody watches from the bank."),
            reverse("dam:turn", args=[slug, gap.turn.pk]),
            is_due=gap.turn.at - now < TREAD_WITHIN,
        )
    yield from _of_turns(slug, matters)


def _of_turns(slug: str, matters: TreadingMatters) -> Iterator[Todo]:
    """Ask about the turns that are over."""
    for turn in matters.alone:
        yield Todo(
            _("One person trod alone on %s") % turn_words(turn),
            turn.why_alone,
            reverse("dam:treading", args=[slug, turn.plan.ret_id]),
            is_due=True,
        )
    for turn in matters.unwatched:
        yield Todo(
            _("Nobody watched the treading on %s") % turn_words(turn),
            turn.why_alone,
            reverse("dam:treading", args=[slug, turn.plan.ret_id]),
            is_due=True,
        )
    for turn in matters.unwritten:
        yield Todo(
            _("Write down who trod on %s") % turn_words(turn),
            _("The book does not know whether the crop was trodden."),
            reverse("dam:treading_record", args=[slug, turn.pk]),
        )


def _of_names(demonstration: Demonstration) -> Iterator[Todo]:
    """Ask whether a name that a phone wrote in is somebody who is known."""
    for row in evenings_to_settle(demonstration):
        yield Todo(
            _("Say who walked in on %s") % _dated(row),
            _("A name written in on a phone is on the list twice: one person, or two?"),
            reverse("fieldlog:book", args=[demonstration.slug, row.pk]) + "#same",
        )


def _of_machines(
    slug: str, ahead: list[GatheringLine], now: datetime
) -> Iterator[Todo]:
    """Ask for the day's look at the guards before the machines run in public."""
    day = (
        now.astimezone(ahead[0].gathering.demonstration.zone).date() if ahead else None
    )
    for line in ahead:
        row = line.gathering
        if line.light.day != day or row.is_called_off:
            continue
        for words in machine_warnings(row, row.stations.in_order(), now):
            yield Todo(
                _("See to the machines for %s") % _dated(row),
                words,
                reverse("machines:machines", args=[slug]),
                is_due=True,
            )


def _of_safety(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    day = now.astimezone(demonstration.zone).date()
    late = overdue_hazards(demonstration, day)
    if late:
        words = ngettext(
            "The day is past for “%(first)s”. Until then no briefing that names it "
            "can be published.",
            "The day is past for “%(first)s” and %(more)d more. Until then no "
            "briefing that names them can be published.",
            len(late),
        )
        yield Todo(
            _("Look at the hazards again"),
            words % {"first": late[0], "more": len(late) - 1},
            reverse("briefings:hazards", args=[demonstration.slug]),
            is_due=True,
        )


def _of_incidents(demonstration: Demonstration) -> Iterator[Todo]:
    matters = open_matters(demonstration)
    if matters.children:
        yield Todo(
            _("End the log of the child"),
            _("A lost or found child's log is still open."),
            reverse("incidents:lost_children", args=[demonstration.slug]),
            is_due=True,
        )
    if matters.incidents:
        yield Todo(
            _("Complete the incidents"),
            ngettext(
                "%d has been written down and waits to be looked at.",
                "%d have been written down and wait to be looked at.",
                matters.incidents,
            )
            % matters.incidents,
            reverse("incidents:incidents", args=[demonstration.slug]),
            is_due=True,
        )


def _of_letters(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    astray, to_tell, unknown = to_look_at(demonstration, now)
    book = reverse("people:letters", args=[demonstration.slug]) + "?show=trouble"
    if unknown:
        yield _of_unknown(unknown, book)
    if astray or to_tell:
        yield _of_astray(astray, to_tell, book)


def _of_unknown(unknown: int, book: str) -> Todo:
    words = ngettext(
        "Ask whether %d letter arrived", "Ask whether %d letters arrived", unknown
    )
    why = _(
        "Sending broke off half-way, so it's not known to have gone. Ask first, so "
        "that nobody gets it twice."
    )
    return Todo(words % unknown, why, book, is_due=True)


def _of_astray(astray: int, to_tell: int, book: str) -> Todo:
    why = []
    if astray:
        words = ngettext("%d did not arrive.", "%d did not arrive.", astray)
        why.append(words % astray)
    if to_tell:
        words = ngettext(
            "%d is for somebody without e-mail.",
            "%d are for people without e-mail.",
            to_tell,
        )
        why.append(words % to_tell)
    words = _("Tell those whom no letter reached")
    return Todo(words, " ".join(why), book, is_due=True)


def _of_claims(demonstration: Demonstration) -> Iterator[Todo]:
    waiting = claims_waiting(demonstration)
    if waiting:
        yield Todo(
            _("Confirm what people say they can do"),
            ngettext(
                "%d waits; until then it counts at no station.",
                "%d wait; until then they count at no station.",
                waiting,
            )
            % waiting,
            reverse("people:competences", args=[demonstration.slug]),
        )


def _of_pictures(demonstration: Demonstration) -> Iterator[Todo]:
    waiting = Picture.objects.of(demonstration).to_look_through().count()
    if waiting:
        yield Todo(
            _("Look through the pictures"),
            ngettext(
                "%d is not on the public page.",
                "%d are not on the public page.",
                waiting,
            )
            % waiting,
            reverse("pictures:list", args=[demonstration.slug]),
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
    least = max(progress.stand.low, progress.beets) - steeped
    if most > low:
        words = _(
            "The dams with clean water may take %(low)d to %(high)d beets; %(least)d "
            "to %(most)d may still have to go in. Both are estimates."
        )
        if not free:
            words = _(
                "No dam has clean water now. About %(least)d to %(most)d beets may "
                "still have to go in."
            )
        yield Todo(
            _("The dams may be full before the field is empty"),
            words % {"low": low, "high": high, "least": max(0, least), "most": most},
            reverse("dam:list", args=[demonstration.slug]),
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
            _("Look at the plan of the harvest"),
            words % in_ten(chance),
            reverse("desk:harvest", args=[demonstration.slug]),
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
            _("Say when the crop was sown"),
            _("Then you see when it may be ready to pull."),
            reverse("growth:sow", args=[slug, page.plots[0].plot.pk]),
        )
        return
    if day <= page.window.last + ASKED_FOR:
        yield from _of_looking(slug, page.window, day)
        yield from _of_bands(slug, page, day)


def _of_looking(slug: str, window: Window, day: date) -> Iterator[Todo]:
    """Ask for a look at the crop, every few days once it may be ready."""
    near = day >= window.first - NEARLY_READY
    seen, every = window.seen_on, LOOK_WHEN_NEAR if near else LOOK_EVERY
    if seen and day - seen < every:
        return
    looked = (
        _("Last looked on %s.") % date_format(seen, "j F")
        if seen
        else _("Nobody has written down a look yet.")
    )
    ready = _("Likely ready %s.") % window.words
    yield Todo(
        _("See whether the crop is ready to pull") if near else _("Look at the crop"),
        f"{ready} {looked}",
        reverse("growth:observe", args=[slug]),
        is_due=day >= window.first,
    )


def _of_bands(slug: str, page: GrowingPage, day: date) -> Iterator[Todo]:
    """Ask for the bands some weeks before they are tied, since rushes dry first."""
    if page.bands_by is None or day < page.bands_by - BANDS_ASKED:
        return
    words = _("About %(bands)d, in bundles of 60: %(bundles)d, by %(day)s.")
    yield Todo(
        _("Cut rushes and make the bands"),
        words
        % {
            "bands": page.bands.bands,
            "bundles": page.bands.bundles,
            "day": date_format(page.bands_by, "j F"),
        },
        reverse("growth:growing", args=[slug]),
        is_due=day >= page.bands_by,
    )


def window_ahead(demonstration: Demonstration, page: Season) -> Window | None:
    """Return when the crop is likely ready, while it is not pulled: four queries."""
    (pulling,) = (line for line in page.stages if line.stage == Stage.PULLING)
    return None if pulling.state == "done" else pulling_window(demonstration)


def _of_fibre(demonstration: Demonstration, now: datetime) -> Iterator[Todo]:
    """Say what wants doing after the dam, until the last strick."""
    for one in fibre_matters(demonstration, now):
        yield Todo(one.words, one.why, one.url, is_due=one.is_due)


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
            _("Settle %s") % line.lot,
            words % line.short,
            reverse("lots:lot", args=[slug, line.lot.pk]),
            is_due=True,
        )
    for one in matters.carts:
        since = one.since.astimezone(demonstration.zone)
        words = ngettext(
            "%(beets)d beet of %(lot)s is on it since %(day)s.",
            "%(beets)d beets of %(lot)s are on it since %(day)s.",
            one.beets,
        )
        figures = {"beets": one.beets, "lot": one.lot, "day": date_format(since, "l")}
        yield Todo(
            _("Empty the cart"),
            words % figures,
            reverse("lots:lot", args=[slug, one.lot.pk]),
            is_due=True,
        )


def _of_field(demonstration: Demonstration, progress: FieldProgress) -> Iterator[Todo]:
    if progress.has_stand and not progress.stand.is_measured:
        yield Todo(
            _("Count the beets of one perch"),
            _("The share of the field is only a wide estimate until then."),
            reverse("desk:settings", args=[demonstration.slug]),
        )


def _dated(row: Gathering) -> str:
    """Name a gathering by its day too: many evenings share a title."""
    day = row.starts_at.astimezone(row.demonstration.zone)
    return f"{row.title}, {day:%a} {day.day} {day:%b}"


def _named(rows: QuerySet[Turnout] | QuerySet[Entry]) -> set[int]:
    """Return the keys of the gatherings that the rows belong to."""
    return set(rows.order_by().values_list("gathering", flat=True).distinct())
