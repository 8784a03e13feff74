"""A slip comes in, is dealt with once, and is answered with its receipt.

Every slip has its own key and a stored receipt, refusals too, so that a repeat is
answered the same. A phone's clock is written beside the server's and never trusted but
for the time between tapping and sending. The kept page names nobody and is the same
for every evening; tonight's names live in the phone's own store and go when the
gathering closes. Who is here is told by order, never by clock. What a phone cannot know
of a child's adult the site decides: the page offers a child the stations, and the slip
is refused if the adult has no place by then. A phone's two clocks are compared only
while the page is in sight, since a sleeping phone parts them too.
"""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from typing import Any, NamedTuple

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from heritage.briefings import services as safety
from heritage.briefings.models import BriefingVersion
from heritage.common.photographs import read_photograph
from heritage.common.rows import fill_in
from heritage.dam.models import Ret, StoneWay, Treading
from heritage.dam.readings import services as dam
from heritage.dam.stones.services import move_stones
from heritage.dam.treading.selectors import EARLY, turn_words
from heritage.dam.treading.services import record_treading
from heritage.fieldlog.models import (
    CLOSES,
    FieldNote,
    Kind,
    Outcome,
    Receipt,
    Thunder,
)
from heritage.fieldlog.selectors import Slip, people_of, person_of
from heritage.gatherings.gate import services as gate
from heritage.gatherings.ground.services import lock_gathering
from heritage.gatherings.models import Gathering, Muster
from heritage.growth import services as growth
from heritage.growth.selectors import seen_line
from heritage.kits.imaging import Prepared
from heritage.lots import services as lots
from heritage.lots.models import Lot, Place
from heritage.lots.selectors import ways_from
from heritage.lots.services import Amount
from heritage.lots.words import beets_in_words
from heritage.machines.models import Stone
from heritage.people.models import User, Volunteer
from heritage.pictures import services as pictures
from heritage.pictures.models import Licence, Shown
from heritage.season.models import Plot
from heritage.tally import services as tally

MOST_BEETS = 100
# What a dam's book takes, in °C.
COLDEST, HOTTEST = -5, 60


class Kept(NamedTuple):
    """What became of a slip, in words, and of whom it speaks."""

    words: str
    volunteer: Volunteer | None = None
    # Written in apart from somebody of the same name, until a lead settles it.
    is_apart: bool = False


class Desk(NamedTuple):
    """Where a slip is dealt with: at which gathering, by whom, and for what time."""

    gathering: Gathering
    slip: Slip
    by: User
    at: datetime
    now: datetime
    prepared: Prepared | None = None

    def person(self, name: str = "person") -> Volunteer:
        """Return whom the slip speaks of."""
        return person_of(self.slip, self.gathering.demonstration, name)


def beets(desk: Desk) -> Kept:
    """Credit somebody with the beets that were tapped."""
    person, count = desk.person(), desk.slip.whole("count")
    if not 1 <= count <= MOST_BEETS:
        raise ValidationError(_("Enter 1 to %d beets at a time.") % MOST_BEETS)
    tally.log_beets(
        gathering=desk.gathering,
        volunteer=person,
        beets=count,
        by=desk.by,
        now=desk.at,
        key=desk.slip.key,
    )
    words = ngettext(
        "%(count)d beet for %(who)s.", "%(count)d beets for %(who)s.", count
    )
    return Kept(words % {"count": count, "who": person}, person)


def uncount(desk: Desk) -> Kept:
    """Take a count back by a counter-entry: the book keeps both."""
    entry = desk.gathering.entries.filter(key=desk.slip.key_in("of")).first()
    if entry is None:
        raise ValidationError(
            _("Those beets weren't saved, so there's nothing to undo.")
        )
    tally.correct(
        entry=entry,
        right_beets=0,
        reason=_("taken back in the field"),
        by=desk.by,
        now=desk.at,
    )
    words = _("%(count)d taken back from %(who)s.")
    return Kept(words % {"count": entry.beets, "who": entry.volunteer}, entry.volunteer)


def note(desk: Desk) -> Kept:
    """Write a note into the evening's book."""
    text = desk.slip.text("text", 1000)
    if not text:
        raise ValidationError(_("The note is empty. Write something, or remove it."))
    values = {"text": text, "at": desk.at, "by": desk.by}
    fill_in(FieldNote(gathering=desk.gathering), values)
    return Kept(_("Note saved."))


def temperature(desk: Desk) -> Kept:
    """Give a water temperature to the ret it was read in."""
    ret = _ret_of(desk)
    degrees = desk.slip.decimal("temp_c")
    if not COLDEST <= degrees <= HOTTEST:
        raise ValidationError(
            _("A dam can't be at %s °C. Take the temperature again.") % degrees
        )
    add = partial(
        dam.add_reading,
        ret=ret,
        at=desk.at,
        temp_c=degrees,
        by=desk.by,
        now=desk.now,
    )
    try:
        add()
    except ValidationError as error:
        if not _was_asked(desk, error):
            raise
        # Sent again as it was, after just this question: it was read again.
        add(sure=True)
    return Kept(_("The water: %s °C.") % degrees)


def _ret_of(desk: Desk) -> Ret:
    """Return the ret a slip speaks of."""
    rets = Ret.objects.of(desk.gathering.demonstration).select_related("dam")
    ret = rets.filter(pk=desk.slip.whole("ret")).first()
    if ret is None:
        raise ValidationError(_("That ret belongs to another demonstration."))
    return ret


def stones(desk: Desk) -> Kept:
    """Write down stones that were put on a ret, or taken off it."""
    ret, way = _ret_of(desk), desk.slip.text("way", 3)
    if way not in StoneWay.values:
        raise ValidationError(_("Say whether they were put on or taken off."))
    listed = Stone.objects.of(desk.gathering.demonstration)
    key = desk.slip.maybe_whole("stone")
    stone = listed.filter(pk=key).first() if key else None
    if key and stone is None:
        raise ValidationError(_("Those stones are no longer on the list."))
    count = desk.slip.whole("how_many")
    moved = move_stones(
        ret=ret, way=way, stone=stone, how_many=count, at=desk.at, by=desk.by,
        now=desk.now,
    )  # fmt: skip
    words = _("%(dam)s: %(count)d stones %(way)s, %(kg)s kg.")
    values = {"dam": ret.dam, "count": count, "way": moved.get_way_display()}
    return Kept(words % {**values, "kg": moved.kg})


def trod(desk: Desk) -> Kept:
    """Who trod? a turn, and who watched from the bank."""
    where, slip = desk.gathering.demonstration, desk.slip
    rows = Treading.objects.of(where).for_page()
    turn = rows.filter(pk=slip.whole("turn")).first()
    if turn is None:
        raise ValidationError(_("That turn belongs to another demonstration."))
    if turn.trodden_at:
        raise ValidationError(_("Somebody has already said who trod that turn."))
    record_treading(
        turn=turn,
        people=people_of(slip, where, "people"),
        watcher=desk.person("watcher") if slip.text("watcher", 36) else None,
        trodden_at=_trodden_at(turn, desk.at),
        note=slip.text("note", 300),
        why_alone=slip.text("why_alone", 300),
        by=desk.by,
        now=desk.now,
    )
    return Kept(_("Who trod is saved: %s.") % turn_words(turn))


def _trodden_at(turn: Treading, at: datetime) -> datetime:
    """Return when a turn was trodden: when it was tapped, or its own time if later."""
    zone = turn.plan.ret.dam.demonstration.zone
    is_its_day = at.astimezone(zone).date() == turn.day
    return at if is_its_day and at >= turn.at - EARLY else turn.at


def _was_asked(desk: Desk, error: ValidationError) -> bool:
    """Tell whether the slip that this one mends was refused with the same words."""
    if "asked" not in desk.slip.data:
        return False
    before = Receipt.objects.keyed(desk.slip.key_in("asked")).first()
    return before is not None and before.words == " ".join(error.messages)[:300]


def thunder(desk: Desk) -> Kept:
    """Write down that thunder was heard: the wait of thirty minutes starts anew."""
    hear_thunder(gathering=desk.gathering, by=desk.by, at=desk.at)
    return Kept(_("Thunder heard."))


@transaction.atomic
def hear_thunder(*, gathering: Gathering, by: User, at: datetime) -> Thunder:
    """Write down that thunder was heard: the wait of thirty minutes starts anew."""
    return fill_in(Thunder(gathering=gathering), {"at": at, "by": by})


def picture(desk: Desk) -> Kept:
    """Put a photograph into the record: hidden until those in it were asked."""
    caption = desk.slip.text("caption", 300)
    if desk.slip.photograph is None or desk.prepared is None:
        raise ValidationError(_("The photograph didn't arrive. Add it under Pictures."))
    if not caption:
        raise ValidationError(_("Say in a few words what the photograph shows."))
    pictures.add_picture(
        demonstration=desk.gathering.demonstration,
        original=desk.slip.photograph,
        prepared=desk.prepared,
        values={
            "stage": desk.gathering.stage,
            "gathering": desk.gathering,
            "caption": caption,
            "alt_text": desk.slip.text("alt_text", 400) or caption,
            "taken_on": None,
            "credit": desk.by.name or desk.by.email,
            "licence": Licence.RESERVED,
            "shown": Shown.UNASKED,
        },
        by=desk.by,
        now=desk.now,
    )
    return Kept(_("The photograph is in the record; nobody else sees it yet."))


# What of the crop a phone may say in figures.
OF_THE_CROP = (
    "height_cm",
    "stems_yellow",
    "leaves_fallen",
    "bolls_green",
    "bolls_yellow",
    "bolls_brown",
    "lodged",
)


def observation(desk: Desk) -> Kept:
    """Write down what was seen of the crop, on the day it was seen."""
    where, slip = desk.gathering.demonstration, desk.slip
    plot = Plot.objects.of(where).filter(pk=slip.whole("plot")).first()
    if plot is None:
        raise ValidationError(_("That plot belongs to another demonstration."))
    seen = growth.observe(
        plot=plot,
        seen_on=desk.at.astimezone(where.zone).date(),
        by=desk.by,
        now=desk.now,
        values={
            **{name: slip.maybe_whole(name) for name in OF_THE_CROP},
            "flower": slip.text("flower", 5),
            "note": slip.text("note", 300),
        },
        key=slip.key,
    )
    words = _("Seen of %(plot)s: %(what)s.")
    return Kept(words % {"plot": plot, "what": seen_line(seen).words})


TONIGHT = "tonight"


def move(desk: Desk) -> Kept:
    """Write down that beets of a lot were carried from one place to another."""
    lot, slip = _lot_of(desk), desk.slip
    source = slip.text("source", 8)
    # What is lost says with it what became of it: lost/spilt.
    target, _slash, loss = slip.text("target", 20).partition("/")
    if source not in Place.values or target not in ways_from(Place(source)):
        raise ValidationError(_("Choose where it was, and where it went."))
    done = lots.move(
        lot=lot,
        source=source,
        target=target,
        amount=Amount(beets=slip.whole("beets")),
        loss=loss,
        # It is there from its first entry on, however the clocks stand.
        at=max(desk.at, lot.made_at),
        by=desk.by,
        now=desk.now,
        note=slip.text("note", 200),
        key=slip.key,
    )
    words = _("%(beets)s of %(lot)s: %(source)s → %(target)s.")
    return Kept(
        words
        % {
            "beets": beets_in_words(done.beets or 0),
            "lot": lot,
            "source": done.get_source_display(),
            "target": done.get_target_display(),
        }
    )


def _lot_of(desk: Desk) -> Lot:
    """Return the lot a slip speaks of: by its key, or what was pulled tonight."""
    rows, gathering = Lot.objects.of(desk.gathering.demonstration), desk.gathering
    if desk.slip.text("lot", 20) == TONIGHT:
        tonight = rows.filter(gathering=gathering).newest_first()
        lot = tonight.pulled_at(gathering, gathering.plot).first() or tonight.first()
        words = _("No beets of tonight are in the book yet. Enter them first.")
    else:
        lot = rows.filter(pk=desk.slip.whole("lot")).first()
        words = _("That lot belongs to another demonstration.")
    if lot is None:
        raise ValidationError(words)
    return lot


KEEPERS: dict[Kind, Callable[[Desk], Kept]] = {
    Kind.BEETS: beets,
    Kind.UNCOUNT: uncount,
    Kind.NOTE: note,
    Kind.TEMPERATURE: temperature,
    Kind.STONES: stones,
    Kind.TROD: trod,
    Kind.OBSERVATION: observation,
    Kind.MOVE: move,
    Kind.THUNDER: thunder,
    Kind.PICTURE: picture,
}


def came(desk: Desk) -> Kept:
    """Write down that somebody came."""
    person = desk.person()
    gate.arrive(
        gathering=desk.gathering,
        volunteer=person,
        by=desk.by,
        now=desk.now,
        said_at=desk.at,
    )
    return Kept(_("%s came.") % person, person)


def struck(desk: Desk) -> Kept:
    """Take somebody off the list: they were ticked by mistake."""
    person = desk.person()
    if desk.gathering.entries.filter(volunteer=person).beets():
        raise ValidationError(
            _("%s has beets counted here. Take those back first.") % person
        )
    mark = gate.Mark(person, None, None)
    gate.record_list(gathering=desk.gathering, marks=[mark], by=desk.by)
    return Kept(_("%s is off the list.") % person, person)


def left(desk: Desk) -> Kept:
    """Write down that somebody went."""
    person = desk.person()
    gate.depart(
        gathering=desk.gathering,
        volunteer=person,
        by=desk.by,
        now=desk.now,
        said_at=max([desk.at, *_said_before(desk, person)]),
    )
    return Kept(_("%s left.") % person, person)


def stayed(desk: Desk) -> Kept:
    """Take back that somebody went."""
    person = desk.person()
    gate.stay(gathering=desk.gathering, volunteer=person, by=desk.by)
    return Kept(_("%s is here.") % person, person)


def walk_in(desk: Desk) -> Kept:
    """Write in somebody who came without a place, by name."""
    return _written_in(desk)


def child(desk: Desk) -> Kept:
    """Write in a child who came along with an adult who is here."""
    age_band = desk.slip.text("age_band", 12)
    return _written_in(desk, guardian=desk.person(), age_band=age_band)


def station(desk: Desk) -> Kept:
    """Give somebody who is here a station, by the rules of the gate.

    What was said before the start counts from the start if it came in after it: by
    then a free place goes to nobody who is still at home.
    """
    person = desk.person()
    chosen = desk.gathering.stations.filter(pk=desk.slip.whole("station")).first()
    if chosen is None:
        raise ValidationError(_("That station is no longer there. Choose another."))
    gate.put_at(
        gathering=desk.gathering,
        volunteer=person,
        station=chosen,
        by=desk.by,
        now=max(desk.at, min(desk.now, desk.gathering.starts_at)),
    )
    words = _("%(who)s is at %(station)s.") % {"who": person, "station": chosen}
    return Kept(words, person)


def heard(desk: Desk) -> Kept:
    """Write down that somebody heard a briefing: which words, read by whom, when."""
    person, reader = desk.person(), desk.person("reader")
    rows = BriefingVersion.objects.of(desk.gathering.demonstration)
    version = rows.filter(pk=desk.slip.whole("version")).first()
    if version is None:
        raise ValidationError(_("That briefing is no longer there. Read another."))
    hearing = safety.acknowledge_afterwards(
        version=version,
        volunteer=person,
        by=desk.by,
        heard_at=desk.at,
        read_by=reader,
        in_short=desk.slip.data.get("in_short") is True,
    )
    words = _("%(who)s heard “%(what)s”, version %(number)d, read by %(reader)s.")
    if hearing.in_short:
        words = _(
            "%(who)s heard the short form of “%(what)s”, version %(number)d, read by "
            "%(reader)s."
        )
    values = {"who": person, "what": version.briefing, "number": version.number}
    return Kept(words % {**values, "reader": reader}, person)


COMERS: dict[Kind, Callable[[Desk], Kept]] = {
    Kind.CAME: came,
    Kind.STRUCK: struck,
    Kind.LEFT: left,
    Kind.STAYED: stayed,
    Kind.WALK_IN: walk_in,
    Kind.CHILD: child,
    Kind.STATION: station,
    Kind.HEARD: heard,
}


def _written_in(desk: Desk, **child: Any) -> Kept:
    """Write a name in, and say whose line it came to."""
    result = gate.write_in_by_name(
        gathering=desk.gathering,
        name=desk.slip.text("name", 120),
        by=desk.by,
        at=desk.at,
        **child,
    )
    words = _("%s is written in.")
    if result.is_known:
        words = _("%s is known: taken as the one on the list.")
    if result.is_apart:
        words = _(
            "%s is written in on a line of its own: somebody of that name is known "
            "already. Say below whether they are the same."
        )
    return Kept(words % result.volunteer, result.volunteer, result.is_apart)


def _said_before(desk: Desk, person: Volunteer) -> list[datetime]:
    """Return for when the same lead's last arrival of somebody counts, if there is one.

    A phone sends in the order of its taps: who it then says has left did so after
    that, whatever its clock says. Of an arrival at the gate nothing is known, so a
    leaving before it stays refused, and they stay in the count.
    """
    mine = desk.gathering.receipts.filter(by=desk.by, volunteer=person)
    came = mine.filter(kind__in=[Kind.CAME, Kind.WALK_IN, Kind.CHILD])
    kept = came.filter(outcome=Outcome.KEPT).order_by("-pk")
    return list(kept.values_list("counts_from", flat=True)[:1])


def muster(desk: Desk) -> Kept:
    """Call everybody out; a second phone's call is the same head-count."""
    gate.call_everybody_out(
        gathering=desk.gathering,
        by=desk.by,
        now=desk.now,
        called_at=desk.at,
        why=desk.slip.text("why", 200),
        key=desk.slip.key,
        here=people_of(desk.slip, desk.gathering.demonstration, "here"),
    )
    return Kept(_("Everybody is called out."))


def seen(desk: Desk) -> Kept:
    """Tick somebody seen at the meeting point."""
    person = desk.person()
    gate.see(muster=_muster(desk), volunteer=person, by=desk.by, now=desk.at)
    return Kept(_("%s is safe.") % person, person)


def unseen(desk: Desk) -> Kept:
    """Take back that somebody was seen."""
    person = desk.person()
    gate.unsee(muster=_muster(desk), volunteer=person, by=desk.by)
    return Kept(_("%s is to be looked for again.") % person, person)


def counted(desk: Desk) -> Kept:
    """End the head-count, with words about those not seen."""
    gate.end_head_count(
        muster=_muster(desk),
        by=desk.by,
        now=desk.at,
        note=desk.slip.text("note", 300),
    )
    return Kept(_("The head-count has ended."))


COUNTERS: dict[Kind, Callable[[Desk], Kept]] = {
    Kind.MUSTER: muster,
    Kind.SEEN: seen,
    Kind.UNSEEN: unseen,
    Kind.COUNTED: counted,
}


def _muster(desk: Desk) -> Muster:
    """Return the newest head-count: what was seen may be heard of after it ended."""
    newest = desk.gathering.musters.newest_first().first()
    if newest is None:
        raise ValidationError(_("Nobody has called everybody out."))
    return newest


ALL_KINDS = COMERS | KEEPERS | COUNTERS


def receive(*, gathering: Gathering, slip: Slip, by: User, now: datetime) -> Receipt:
    """Deal with a slip once, and answer it; the same slip again is only answered.

    What the rules refuse is answered too, with the reason, and that answer stands:
    to mend it the phone makes a new slip under a new key.

    Raises
    ------
    ValidationError
        If the key was used at another gathering.
    """
    earlier = _earlier(gathering, slip)
    if earlier:
        return earlier
    # A photograph is read before the lock, for that takes its time.
    prepared, refusal = _made_ready(slip)
    with transaction.atomic():
        gathering = lock_gathering(gathering)
        earlier = _earlier(gathering, slip)
        if earlier:
            return earlier
        at = counts_from(slip, gathering, now)
        desk = Desk(gathering, slip, by, at, now, prepared)
        return _answer(desk, refusal)


def counts_from(slip: Slip, gathering: Gathering, now: datetime) -> datetime:
    """Return the time a slip counts for: the server's, unless the phone's can be.

    Of a phone's clock only the time that passed between making the slip and sending
    it is used, never the hour it shows; and only if that ends up within the
    gathering, from when its book opens to when its page closes.
    """
    if slip.phone_time is None or slip.sent_at is None:
        return now
    at = now - (slip.sent_at - slip.phone_time)
    opens = gathering.starts_at - tally.BOOK_OPENS
    return at if opens <= at <= min(now, gathering.ends_at + CLOSES) else now


def _answer(desk: Desk, refusal: ValidationError | None) -> Receipt:
    try:
        if refusal:
            raise refusal
        with transaction.atomic():
            outcome, kept = Outcome.KEPT, ALL_KINDS[desk.slip.kind](desk)
    except ValidationError as error:
        outcome, kept = Outcome.REFUSED, Kept(" ".join(error.messages))
    values: dict[str, Any] = {
        "key": desk.slip.key,
        "by": desk.by,
        "kind": desk.slip.kind,
        "outcome": outcome,
        "words": kept.words[:300],
        "volunteer": kept.volunteer,
        "phone_time": desk.slip.phone_time,
        "sent_at": desk.slip.sent_at,
        "received_at": desk.now,
        "counts_from": desk.at,
        "is_apart": kept.is_apart,
    }
    receipt = Receipt(gathering=desk.gathering, **values)
    receipt.full_clean()
    receipt.save()
    return receipt


def _earlier(gathering: Gathering, slip: Slip) -> Receipt | None:
    receipt = Receipt.objects.keyed(slip.key).first()
    if receipt and receipt.gathering_id != gathering.pk:
        raise ValidationError(_("This was sent before, for another gathering."))
    return receipt


def _made_ready(slip: Slip) -> tuple[Prepared | None, ValidationError | None]:
    if slip.photograph is None:
        return None, None
    try:
        prepared = read_photograph(slip.photograph)
    except ValidationError as error:
        return None, error
    return prepared, None
