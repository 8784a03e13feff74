"""Where people write in their own words, and so may name somebody.

Every text of every table stands here, in `SEARCHED` or with its reason in
`NOT_SEARCHED`; a test walks the models, so that no field can be forgotten.

Nobody's words are rewritten. Before an erasing every free text of the demonstration is
searched for the person's whole name, address and number, and for parts of the name
apart, whatever accents, case and spacing. An organiser changes each place or leaves it
with a reason; records kept by law, sealed ones and other people's own say so.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from django.apps import apps
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from heritage.people.letters.selectors import own_address
from heritage.people.models import Volunteer
from heritage.privacy.everything.selectors import path_of
from heritage.privacy.kept.selectors import Words

BY_LAW = _("The law asks for a record of it: it stays as written until it is due.")
SEALED = _("What has been written down there is never changed.")
AS_HEARD = _(
    "It is the proof of what people were told; a new version can leave it out."
)
SENT = _("It was sent like this; letters go after 12 months.")
ANOTHERS = _("It is somebody else's own: ask them to change it.")
COMPLAINED = _("It is what was complained of, kept until 3 years after it ended.")
CHILD_LOG = _("The log of a child stays as written, and goes after a year.")


@dataclass(frozen=True, slots=True)
class FreeWords:
    """Fields of one table, what a row of it is, and the page where it can be mended.

    ``args`` are paths to what the address takes; ``stays`` says why a row is not to
    be changed; ``goes`` is the path to a volunteer with whom the row goes anyway.
    """

    table: str
    fields: Sequence[str]
    what: Words
    view: str
    args: Sequence[str] = ("pk",)
    stays: Words = ""
    goes: str = ""


SEARCHED = (
    FreeWords(
        "season.Demonstration",
        ("name", "place_name", "directions", "contact", "story"),
        _("the demonstration's own words"),
        "desk:settings",
        (),
    ),
    FreeWords("season.Plot", ("name",), _("a plot"), "desk:plot_edit"),
    FreeWords("season.StageRecord", ("note",), _("a stage"), "desk:stage", ("stage",)),
    FreeWords(
        "people.Volunteer",
        ("emergency_name",),
        _("whom somebody else would have called"),
        "people:about",
        stays=ANOTHERS,
        goes="pk",
    ),
    FreeWords(
        "people.Competence",
        ("title", "asks"),
        _("a competence"),
        "people:competences",
        (),
    ),
    FreeWords(
        "people.Skill",
        ("refused_because",),
        _("why a competence was not confirmed"),
        "people:about",
        ("volunteer",),
        goes="volunteer",
    ),
    FreeWords(
        "people.HealthNote",
        ("text",),
        _("somebody else's health note"),
        "people:about",
        ("volunteer",),
        ANOTHERS,
        "volunteer",
    ),
    FreeWords(
        "people.Wording",
        ("text",),
        _("words to agree to"),
        "people:words",
        (),
        AS_HEARD,
    ),
    FreeWords(
        "people.Letter",
        ("subject", "text"),
        _("a letter to somebody else"),
        "people:letter",
        stays=SENT,
        goes="volunteer",
    ),
    FreeWords(
        "briefings.Hazard",
        ("title", "harm", "where", "severity_reason", "caution", "controller"),
        _("a hazard"),
        "briefings:edit_hazard",
    ),
    FreeWords(
        "briefings.HazardChange",
        ("title", "what"),
        _("the history of the hazards"),
        "briefings:hazard_changes",
        (),
        SEALED,
    ),
    FreeWords(
        "briefings.Control",
        ("text",),
        _("a control of a hazard"),
        "briefings:edit_hazard",
        ("hazard",),
    ),
    FreeWords(
        "briefings.Briefing",
        (
            *("title", "task", "plan", "in_charge", "stop_signal", "no_go"),
            *("machine_stop", "lifting", "weather", "clothing", "first_aid", "aed"),
            *("hospital", "emergency", "assembly_point", "lost_child", "welfare"),
            *("not_for", "photos"),
        ),
        _("a briefing"),
        "briefings:edit_briefing",
    ),
    FreeWords(
        "briefings.BriefingVersion",
        ("content",),
        _("a briefing as it was heard"),
        "briefings:briefing",
        ("briefing",),
        AS_HEARD,
    ),
    FreeWords(
        "incidents.Incident",
        (
            *("place", "account", "hurt_name", "hurt_contact", "injury", "done"),
            *("learnt", "told_authority_how", "not_told_why", "held_for"),
        ),
        _("an incident"),
        "incidents:incident",
        stays=BY_LAW,
    ),
    FreeWords(
        "incidents.Witness",
        ("name", "contact", "says"),
        _("a witness of an incident"),
        "incidents:incident",
        ("incident",),
        BY_LAW,
    ),
    FreeWords(
        "incidents.Evidence",
        ("words",),
        _("a photograph of an incident"),
        "incidents:incident",
        ("incident",),
        BY_LAW,
    ),
    FreeWords(
        "incidents.IncidentChange",
        ("what",),
        _("the history of an incident"),
        "incidents:incident",
        ("incident",),
        BY_LAW,
    ),
    FreeWords(
        "incidents.LostChild",
        (
            *("reporter", "name", "looks", "last_seen", "needs"),
            *("outcome", "went_to", "checked_by"),
        ),
        _("the log of a child"),
        "incidents:child_log",
        stays=CHILD_LOG,
    ),
    FreeWords(
        "incidents.ChildStep",
        ("text",),
        _("the log of a child"),
        "incidents:child_log",
        ("lost_child",),
        CHILD_LOG,
    ),
    FreeWords(
        "machines.Machine",
        ("name", "stop", "fuel", "barrier", "note"),
        _("a machine"),
        "machines:edit_machine",
    ),
    FreeWords(
        "machines.Guard",
        ("name",),
        _("a guard of a machine"),
        "machines:edit_machine",
        ("machine",),
    ),
    FreeWords(
        "machines.MachineCheck",
        ("note",),
        _("the check of a machine"),
        "machines:machine",
        ("machine",),
        SEALED,
    ),
    FreeWords("machines.Stone", ("mark",), _("a stone"), "machines:edit_stone"),
    FreeWords(
        "briefings.EmergencyPlan",
        (
            *("controller", "deputy", "calls", "way_in", "hospital", "meeting_point"),
            *("shelter", "signal", "no_signal", "fire", "water_rescue"),
            *("machine_stop", "lost_child", "light_failure", "aed"),
        ),
        _("the emergency plan"),
        "briefings:edit_emergency",
        (),
    ),
    FreeWords(
        "briefings.FirstAidPoint",
        ("place", "holds"),
        _("a first-aid point"),
        "briefings:emergency",
        (),
    ),
    FreeWords("grounds.Exit", ("name",), _("an exit"), "grounds:edit_exit"),
    FreeWords(
        "grounds.StewardPost",
        ("place", "task"),
        _("a steward's post"),
        "grounds:edit_post",
    ),
    FreeWords(
        "gatherings.Gathering",
        ("title", "place", "bring", "note", "moved_from_place"),
        _("a gathering"),
        "gatherings:edit",
    ),
    FreeWords(
        "gatherings.Station",
        ("title", "note"),
        _("a station of a gathering"),
        "gatherings:edit",
        ("gathering",),
    ),
    FreeWords(
        "gatherings.Call",
        ("note", "reasons"),
        _("the call on a gathering"),
        "gatherings:call",
        ("gathering",),
        SEALED,
    ),
    FreeWords(
        "gatherings.Muster",
        ("why", "note"),
        _("a head-count"),
        "gatherings:head_count",
        ("gathering",),
        SEALED,
    ),
    FreeWords(
        "gatherings.Pattern",
        ("title", "bring", "note"),
        _("a pattern"),
        "gatherings:edit_pattern",
    ),
    FreeWords(
        "gatherings.PatternStation",
        ("title", "note"),
        _("a station of a pattern"),
        "gatherings:edit_pattern",
        ("pattern",),
    ),
    FreeWords("gatherings.Run", ("title",), _("a run"), "gatherings:run"),
    FreeWords(
        "gatherings.Weighing",
        ("why",),
        _("a decision on somebody else's work"),
        "gatherings:weighings",
        (),
        SEALED,
        "volunteer",
    ),
    FreeWords(
        "tally.Entry",
        ("reason",),
        _("a correction in the tally book"),
        "tally:log",
        ("gathering",),
        SEALED,
    ),
    FreeWords(
        "tally.OwnLog",
        ("note",),
        _("what somebody logged of their own work"),
        "tally:confirm",
        ("gathering",),
        ANOTHERS,
    ),
    FreeWords(
        "tally.Answer",
        ("reason",),
        _("the answer to somebody's own log"),
        "tally:confirm",
        ("own_log__gathering",),
        SEALED,
    ),
    FreeWords(
        "tally.Work",
        ("note",),
        _("other work in the tally book"),
        "tally:work",
        ("gathering",),
        SEALED,
    ),
    FreeWords("dam.Dam", ("name",), _("a dam"), "dam:edit"),
    FreeWords(
        "dam.Ret", ("why_more", "water_leave"), _("a ret"), "dam:ret", stays=SEALED
    ),
    FreeWords(
        "dam.Check", ("note",), _("the test of a ret"), "dam:ret", ("ret",), SEALED
    ),
    FreeWords(
        "dam.Treading",
        ("note", "why_alone"),
        _("a turn of treading"),
        "dam:treading_record",
    ),
    FreeWords(
        "pictures.Picture",
        ("caption", "alt_text", "credit"),
        _("a picture"),
        "pictures:edit",
    ),
    FreeWords(
        "pictures.PaperPermission",
        ("name", "guardian", "kept_where"),
        _("a permission on paper for a picture"),
        "pictures:picture",
        ("picture",),
    ),
    FreeWords(
        "pictures.DeletedPicture",
        ("reason",),
        _("why a picture was deleted"),
        "pictures:list",
        (),
        SEALED,
    ),
    FreeWords(
        "fieldlog.Receipt",
        ("words",),
        _("a slip from the field page"),
        "fieldlog:book",
        ("gathering",),
        SEALED,
        "volunteer",
    ),
    FreeWords(
        "fieldlog.FieldNote",
        ("text",),
        _("a note from the field"),
        "fieldlog:book",
        ("gathering",),
        SEALED,
    ),
    FreeWords(
        "privacy.Complaint",
        ("about", "name", "contact", "outcome"),
        _("a complaint"),
        "privacy:complaint",
        stays=COMPLAINED,
    ),
    FreeWords(
        "privacy.ComplaintStep",
        ("text",),
        _("a complaint"),
        "privacy:complaint",
        ("complaint",),
        COMPLAINED,
    ),
)


KEY = "A key, or a name of ours for a row."
CODE = "A figure, a code or a choice, not free words."
OWN = "The person's own, or another person's name on the list."
MADE = "Made from other fields that are searched."
NOT_SEARCHED = {
    "common.LastRun.trouble": "Names of tasks.",
    "season.Demonstration.slug": KEY,
    "season.Demonstration.crop": CODE,
    "season.Demonstration.time_zone": CODE,
    "people.User.password": KEY,
    "people.User.name": OWN,
    "people.Volunteer.name": OWN,
    "people.Volunteer.phone": OWN,
    "people.Volunteer.emergency_phone": OWN,
    "people.Volunteer.calendar_key": KEY,
    "people.Letter.key": KEY,
    "people.Letter.about": KEY,
    "people.Letter.also": KEY,
    "people.Letter.html": MADE,
    "people.Letter.parts": MADE,
    "people.Letter.message_id": KEY,
    "people.Letter.trouble": "What a mail server answered.",
    "people.AccountLetter.key": KEY,
    "people.AccountLetter.message_id": KEY,
    "people.AccountLetter.subject": "Our own words to its owner.",
    "people.AccountLetter.text": "Our own words to its owner.",
    "people.AccountLetter.trouble": "What a mail server answered.",
    "people.Invitation.key": KEY,
    "briefings.Hazard.stages": CODE,
    "briefings.Hazard.works": CODE,
    "briefings.Briefing.grid_reference": CODE,
    "incidents.Incident.key": KEY,
    "incidents.Evidence.key": KEY,
    "incidents.LostChild.age": CODE,
    "incidents.ChildStep.step": CODE,
    "machines.MachineCheck.present": "Names of guards, which are searched.",
    "machines.MachineCheck.missing": "Names of guards, which are searched.",
    "briefings.EmergencyPlan.number": CODE,
    "briefings.EmergencyPlan.grid_reference": CODE,
    "gatherings.Gathering.uid": KEY,
    "gatherings.Call.conditions": CODE,
    "gatherings.Call.sources": CODE,
    "gatherings.RainAhead.hours": CODE,
    "gatherings.Run.weekdays": CODE,
    "gatherings.Run.left_out": CODE,
    "pictures.Picture.key": KEY,
    "pictures.Picture.sha256": KEY,
    "pictures.DeletedPicture.sha256": KEY,
    "privacy.Erasure.gone": "Our own words, with numbers.",
    "privacy.Erasure.kept": "Our own words, an organiser's reason, and numbers.",
    "privacy.Merge.moved": "Numbers of rows.",
    "privacy.Merge.settled": "Our own words on what met.",
    "privacy.Tidying.rule": KEY,
    "privacy.Complaint.key": KEY,
}


# A part shorter than this stands in too many other words to be a sign of anybody.
SHORTEST_PART = 3
# How many letters are shown on either side of a name.
AROUND = 45
APOSTROPHES = dict.fromkeys(map(ord, "\u2018\u2019\u02bc\u00b4`"), "'")


@dataclass(frozen=True, slots=True)
class Mention:
    """One place where a name stands, with the words around it."""

    before: str
    found: str
    after: str
    is_whole: bool


@dataclass(frozen=True, slots=True)
class Called:
    """How somebody may be called: whole, by a part of their name, or by a number."""

    whole: re.Pattern[str]
    part: re.Pattern[str] | None


def called(names: Iterable[str], *, numbers: Iterable[str] = ()) -> Called | None:
    """Return what to look for; None where there is no name.

    ``names`` are whole names and addresses; a name's distinct parts are looked for by
    themselves too. Of ``numbers`` only the digits count.
    """
    whole = [_spaced(name) for name in names if name.strip()]
    parts = {
        part
        for name in names
        if "@" not in name
        for part in re.split(r"[\s,.-]+", _plain(name)[0])
        if len(part) >= SHORTEST_PART
    }
    digits = (re.findall(r"\d", number) for number in numbers)
    whole += [r"[\s/().-]*".join(found) for found in digits if len(found) > 5]
    if not whole:
        return None
    return Called(_words(whole), _words(map(re.escape, parts)) if parts else None)


def mentions(text: str, sought: Called) -> Iterator[Mention]:
    """Find each place in a text; a part inside a whole name is found once."""
    plain, places = _plain(text)
    taken: list[tuple[int, int]] = []
    for pattern, is_whole in ((sought.whole, True), (sought.part, False)):
        for match in pattern.finditer(plain) if pattern else ():
            start, end = match.span()
            if not any(begin < end and start < stop for begin, stop in taken):
                taken.append((start, end))
                yield _mention(text, places[start], places[end - 1] + 1, is_whole)


def _mention(text: str, start: int, end: int, is_whole: bool) -> Mention:
    # An accent typed apart belongs to the letter before it.
    while end < len(text) and unicodedata.combining(text[end]):
        end += 1
    low, high = max(0, start - AROUND), min(len(text), end + AROUND)
    return Mention(
        before=("…" if low else "") + " ".join(text[low:start].split("\n")),
        found=text[start:end],
        after=" ".join(text[end:high].split("\n")) + ("…" if high < len(text) else ""),
        is_whole=is_whole,
    )


def _plain(text: str) -> tuple[str, list[int]]:
    """Return a text without accents and case, and where each letter of it stood."""
    letters: list[str] = []
    places: list[int] = []
    for place, letter in enumerate(text):
        apart = unicodedata.normalize("NFKD", letter.translate(APOSTROPHES))
        for one in apart.casefold():
            if not unicodedata.combining(one):
                letters.append(one)
                places.append(place)
    return "".join(letters), places


def _spaced(name: str) -> str:
    """Let a name's words stand apart by any space or a hyphen."""
    words = re.split(r"[\s-]+", _plain(name)[0].strip())
    return r"[\s-]+".join(map(re.escape, words))


def _words(found: Iterable[str]) -> re.Pattern[str]:
    """Match any of them where no letter or figure of any alphabet touches it."""
    longest_first = sorted(found, key=lambda one: (-len(one), one))
    return re.compile(rf"(?<!\w)(?:{'|'.join(longest_first)})(?!\w)")


MOST_SHOWN = 200


@dataclass(frozen=True, slots=True)
class Place:
    """A row that names somebody, the page to it, and each place in it."""

    source: FreeWords
    url: str
    mentions: tuple[Mention, ...]

    @property
    def is_whole(self) -> bool:
        """Tell whether it is surely them: by their whole name, address or number."""
        return any(one.is_whole for one in self.mentions)


@dataclass(frozen=True, slots=True)
class Named:
    """All rows that name somebody: surely, and perhaps by a part of the name alone."""

    surely: tuple[Place, ...]
    perhaps: tuple[Place, ...]

    @property
    def shown_perhaps(self) -> tuple[Place, ...]:
        return self.perhaps[:MOST_SHOWN]

    @property
    def not_shown(self) -> int:
        return len(self.perhaps) - len(self.shown_perhaps)

    @property
    def asks_why(self) -> bool:
        """Tell whether something is left that an organiser could have changed."""
        return any(not place.source.stays for place in self.surely)


def named(volunteer: Volunteer) -> Named:
    """Look through all free words: one query for each table, however many rows."""
    lines = [volunteer, *volunteer.merged_from.all()]
    sought = _sought(lines)
    if sought is None:
        return Named((), ())
    keys = [line.pk for line in lines]
    found = [
        place
        for source in SEARCHED
        for place in _places(source, volunteer, keys, sought)
    ]
    return Named(
        surely=tuple(place for place in found if place.is_whole),
        perhaps=tuple(place for place in found if not place.is_whole),
    )


def names_them(volunteer: Volunteer, text: str) -> bool:
    """Tell whether a text names somebody whole: one query."""
    sought = _sought([volunteer, *volunteer.merged_from.all()])
    if sought is None:
        return False
    return any(one.is_whole for one in mentions(text, sought))


def _sought(lines: Sequence[Volunteer]) -> Called | None:
    """Return all that somebody goes by on their lines, and on their account."""
    names = [line.name for line in lines] + [own_address(line) for line in lines]
    names += [line.user.name for line in lines if line.user]
    return called(names, numbers=[line.phone for line in lines])


def _places(
    source: FreeWords, person: Volunteer, keys: Sequence[int], sought: Called
) -> Iterator[Place]:
    model = apps.get_model(source.table)
    rows = model._default_manager.filter(
        **{str(path_of(model)): person.demonstration_id}
    )
    if source.goes:
        rows = rows.exclude(**{f"{source.goes}__in": keys})
    width = len(source.fields)
    for values in rows.order_by("pk").values_list(*source.fields, *source.args):
        texts = [words for value in values[:width] for words in _strings(value)]
        found = tuple(one for text in texts for one in mentions(text, sought))
        if found:
            args = [person.demonstration.slug, *values[width:]]
            yield Place(source, reverse(source.view, args=args), found)


def _strings(value: Any) -> Iterator[str]:
    """Return the words in a field, also where they stand in JSON."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for one in value.values():
            yield from _strings(one)
    elif isinstance(value, list):
        for one in value:
            yield from _strings(one)
