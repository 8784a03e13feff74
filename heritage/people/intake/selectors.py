"""What taking in somebody's own list would do, line by line, before it is done."""

import re
import unicodedata
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db.models import Prefetch, TextChoices
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.kits.tables.read import TableRow
from heritage.people.models import AgeBand, Skill, Volunteer
from heritage.season.models import Demonstration


class Column(TextChoices):
    """What a column of a list may hold that is kept here."""

    NAME = "name", gettext_lazy("name")
    FIRST = "first", gettext_lazy("first name")
    LAST = "last", gettext_lazy("surname")
    EMAIL = "email", gettext_lazy("e-mail address")
    PHONE = "phone", gettext_lazy("telephone")
    AGE = "age", gettext_lazy("age")
    BORN = "born", gettext_lazy("date of birth")
    GUARDIAN = "guardian", gettext_lazy("guardian's name")
    GUARDIAN_EMAIL = "guardian_email", gettext_lazy("guardian's e-mail address")
    EMERGENCY_NAME = "emergency_name", gettext_lazy("emergency contact")
    EMERGENCY_PHONE = "emergency_phone", gettext_lazy("their telephone in an emergency")


# The words a heading must hold, the more telling before the more general; a heading
# is taken as its bare words, without accents, marks and case.
GUESSES: list[tuple[Column, str]] = [
    (Column.GUARDIAN_EMAIL, r"(guardian|parent|carer).*mail"),
    (Column.EMERGENCY_PHONE, r"emergency.*(phone|number|mobile|\btel)"),
    (Column.EMERGENCY_PHONE, r"their telephone"),
    (Column.EMERGENCY_NAME, r"emergency|next of kin"),
    (Column.GUARDIAN, r"guardian|parent|carer"),
    (Column.BORN, r"birth|\bborn\b|\bd ?o ?b\b"),
    (Column.EMAIL, r"e ?mail|^mail$"),
    (Column.PHONE, r"phone|mobile|\btel\b|^cell$|^number$"),
    (Column.AGE, r"^age"),
    (Column.FIRST, r"(first|given|fore) ?name|^first$"),
    (Column.LAST, r"(last|family|sur) ?name|^last$"),
    (Column.NAME, r"^(full |volunteers? )?names?$|^(volunteer|person|who)$"),
]
NAMES = frozenset({Column.NAME, Column.FIRST, Column.LAST})
# Above the headings stand a title, a date, whom to ask: hardly more.
HEADS_WITHIN = 15
APOSTROPHES = str.maketrans("", "", "'\u2019")


def find_heads(lines: Sequence[TableRow]) -> tuple[int, bool]:
    """Find the line with the headings; tell whether it looks like one.

    A title above them, in one cell or merged over several, is passed over: the
    headings are where most columns are known. Where no line has one for the name,
    it is the first with more than one cell filled, and somebody has to be asked.
    """
    known = [[c for c in guess_columns(line.cells) if c] for line in lines]
    filled = [sum(map(bool, line.cells)) for line in lines]
    within = range(min(len(lines), HEADS_WITHIN))
    named = [at for at in within if NAMES & set(known[at])]
    if named:
        return max(named, key=lambda at: (len(known[at]), filled[at], -at)), True
    wide = [at for at in within if filled[at] > 1]
    return (wide or [0])[0], False


def guess_columns(heads: Sequence[str]) -> list[str]:
    """Guess what each column holds, each thing once; "" for what is left out."""
    columns: list[str] = []
    for head in heads:
        column = _guess(head)
        columns.append("" if column in columns else column)
    return columns


def _guess(head: str) -> str:
    words = " ".join(re.findall(r"[a-z]+", head.casefold().translate(APOSTROPHES)))
    for column, pattern in GUESSES:
        if re.search(pattern, words):
            return column.value
    return ""


# How long each text may be, as on the list itself.
LONGEST: dict[Column, int] = {
    column: getattr(Volunteer._meta.get_field(column.value), "max_length", 0)
    for column in (
        Column.NAME,
        Column.PHONE,
        Column.EMERGENCY_NAME,
        Column.EMERGENCY_PHONE,
    )
}
DAY_FIRST = re.compile(r"(\d{1,2})[./-](\d{1,2})[./-](\d{4})")
YEAR_FIRST = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})(?: 00:00(?::00)?)?")
OLDEST = 120
# Controls that part words; the rest of them is not seen by anybody.
BREAKS = "\t\n\r\x85"
WORDS = {
    "adult": AgeBand.ADULT,
    "grown up": AgeBand.ADULT,
    "over 18": AgeBand.ADULT,
    "18+": AgeBand.ADULT,
}


@dataclass(frozen=True, slots=True)
class Candidate:
    """What a line says of one person."""

    number: int
    name: str
    email: str = ""
    phone: str = ""
    age_band: str = AgeBand.ADULT
    says_age: bool = False
    born_on: date | None = None
    guardian: str = ""
    guardian_email: str = ""
    emergency_name: str = ""
    emergency_phone: str = ""
    troubles: list[str] = field(default_factory=list)


def name_key(name: str) -> str:
    """Return what two writings of one name have in common."""
    spelt = unicodedata.normalize("NFKC", name)
    seen = "".join(
        sign for sign in spelt if sign in BREAKS or unicodedata.category(sign)[0] != "C"
    )
    return " ".join(seen.split()).casefold()


def read_candidate(
    line: TableRow, columns: Sequence[str], *, today: date, keeps_dates: bool
) -> Candidate:
    """Read a line, with every trouble it has in plain words.

    A date of birth is kept only where the demonstration keeps dates; elsewhere it
    says the age and is forgotten.
    """
    cells = dict(zip(columns, line.cells, strict=True))
    name = cells.get(Column.NAME, "")
    parts = (cells.get(Column.FIRST, ""), name, cells.get(Column.LAST, ""))
    name = " ".join(filter(None, parts))
    troubles = _unsaved(line, columns) + _too_long(cells | {Column.NAME: name})
    if not name_key(name) and not _unsaved(line, columns):
        troubles.append(_("There is no name. Write one, or take the line out."))
    troubles += _bad_addresses(cells)
    born_on = _born(cells.get(Column.BORN, ""), today, troubles)
    band = _band(cells.get(Column.AGE, ""), born_on, today, troubles)
    return Candidate(
        number=line.number,
        name=name,
        email=cells.get(Column.EMAIL, ""),
        phone=cells.get(Column.PHONE, ""),
        age_band=band or AgeBand.ADULT,
        says_age=band is not None,
        born_on=born_on if keeps_dates else None,
        guardian=cells.get(Column.GUARDIAN, ""),
        guardian_email=cells.get(Column.GUARDIAN_EMAIL, ""),
        emergency_name=cells.get(Column.EMERGENCY_NAME, ""),
        emergency_phone=cells.get(Column.EMERGENCY_PHONE, ""),
        troubles=troubles,
    )


def _unsaved(line: TableRow, columns: Sequence[str]) -> list[str]:
    """Say which of the columns taken in came as formulas without their values."""
    wanting = [Column(columns[at]).label for at in line.unsaved if columns[at]]
    if not wanting:
        return []
    return [
        _(
            "Formulas whose values the file does not hold: %s. Open it in your "
            "spreadsheet, save it, and choose it again; or type the values in."
        )
        % ", ".join(map(str, wanting))
    ]


def _too_long(cells: dict[str, str]) -> list[str]:
    return [
        _("The %(what)s is longer than %(most)d signs. Shorten it.")
        % {"what": column.label, "most": most}
        for column, most in LONGEST.items()
        if len(cells.get(column, "")) > most
    ]


def _bad_addresses(cells: dict[str, str]) -> list[str]:
    troubles = []
    for column in (Column.EMAIL, Column.GUARDIAN_EMAIL):
        address = cells.get(column, "")
        try:
            if address:
                validate_email(address)
            if len(address) > 254:
                raise ValidationError("too long")
        except ValidationError:
            troubles.append(
                _("“%s” is no e-mail address. Correct it, or leave it empty.") % address
            )
    return troubles


def _born(text: str, today: date, troubles: list[str]) -> date | None:
    if not text:
        return None
    day_first, year_first = DAY_FIRST.fullmatch(text), YEAR_FIRST.fullmatch(text)
    try:
        if day_first:
            day, month, year = map(int, day_first.groups())
        else:
            # No match has no groups: not a date, like the 31st of February.
            year, month, day = map(int, year_first.groups() if year_first else ())
        born = date(year, month, day)
    except ValueError:
        troubles.append(
            _("“%s” is no date. Write it like 2011-05-04 or 04/05/2011, day first.")
            % text
        )
        return None
    if born > today or Volunteer(born_on=born).age_on(today) > OLDEST:
        troubles.append(_("Nobody here was born on %s. Correct the date.") % text)
        return None
    return born


def _band(
    text: str, born_on: date | None, today: date, troubles: list[str]
) -> AgeBand | None:
    """Return how old somebody is: by their birth, or by what is said of their age."""
    if born_on is not None:
        return AgeBand.at(Volunteer(born_on=born_on).age_on(today))
    words = " ".join(text.casefold().split())
    if not words:
        return None
    for band in AgeBand:
        if words == str(band.label).casefold():
            return band
    if words in WORDS:
        return WORDS[words]
    years = re.fullmatch(r"(\d{1,3})( ?(years?|yrs?)( old)?)?", words)
    if years and int(years[1]) <= OLDEST:
        return AgeBand.at(int(years[1]))
    troubles.append(
        _("“%s” is no age. Write it in years, or one of: %s.")
        % (text, "; ".join(str(label) for label in AgeBand.labels))
    )
    return None


class Verdict(TextChoices):
    """What becomes of a line."""

    NEW = "new", gettext_lazy("is entered")
    SAME = "same", gettext_lazy("stays as it is")
    FILL = "fill", gettext_lazy("is filled in")
    REFUSED = "refused", gettext_lazy("is refused")


@dataclass(slots=True, eq=False)
class Planned:
    """A line with what becomes of it and why."""

    line: Candidate
    verdict: Verdict
    words: list[str] = field(default_factory=list)
    person: Volunteer | None = None
    fills: tuple[str, ...] = ()
    guardian: "Volunteer | Planned | None" = None

    @property
    def age_words(self) -> str:
        """How old the line makes them, in words."""
        return str(AgeBand(self.line.age_band).label)

    @property
    def guardian_name(self) -> str:
        """Who answers for them, if they are new and under 18."""
        adult = self.guardian
        return adult.line.name if isinstance(adult, Planned) else str(adult or "")

    @property
    def fill_words(self) -> str:
        """What is written in on the list, in words."""
        return ", ".join(field_label(name) for name in self.fills)

    def refuse(self, why: str) -> None:
        """Leave the line out, and say why."""
        self.verdict, self.fills, self.words = Verdict.REFUSED, (), [why]


@dataclass(frozen=True, slots=True)
class IntakePlan:
    """What taking the list in would do."""

    lines: tuple[Planned, ...]

    def of(self, verdict: Verdict) -> list[Planned]:
        return [planned for planned in self.lines if planned.verdict is verdict]

    @property
    def new(self) -> list[Planned]:
        """Those who are put on the list."""
        return self.of(Verdict.NEW)

    @property
    def same(self) -> list[Planned]:
        """Those who are on the list already and stay as they are."""
        return self.of(Verdict.SAME)

    @property
    def filled(self) -> list[Planned]:
        """Those on the list of whom something missing is written in."""
        return self.of(Verdict.FILL)

    @property
    def refused(self) -> list[Planned]:
        """Those that cannot be taken, with why."""
        return self.of(Verdict.REFUSED)

    @property
    def changes(self) -> int:
        """How many lines change the list."""
        return len(self.new) + len(self.filled)


def field_label(name: str) -> str:
    """Name a volunteer's field as the pages name it."""
    return str(getattr(Volunteer._meta.get_field(name), "verbose_name", name))


Grown = dict[str, list[Volunteer | Planned]]


def find_guardians(planned: Sequence[Planned], listed: Sequence[Volunteer]) -> None:
    """Give each child that is new its guardian, from the list or from the file."""
    # A guardian on the list is found there, whether the file repeats them or not.
    grown: list[Volunteer | Planned] = [
        one for one in listed if one.age_band == AgeBand.ADULT
    ]
    grown += [
        row
        for row in planned
        if row.verdict is Verdict.NEW and row.line.age_band == AgeBand.ADULT
    ]
    by_name: Grown = defaultdict(list)
    by_email: Grown = defaultdict(list)
    for one in grown:
        who = one.line if isinstance(one, Planned) else one
        by_name[name_key(who.name)].append(one)
        by_email[who.email.casefold()].append(one)
    for row in planned:
        person = row.person
        # An address that the file itself writes in finds its owner too.
        if person and person.age_band == AgeBand.ADULT and "email" in row.fills:
            by_email[row.line.email.casefold()].append(person)
    for row in planned:
        if row.verdict is Verdict.NEW:
            _give_guardian(row, by_name, by_email)


def _give_guardian(row: Planned, by_name: Grown, by_email: Grown) -> None:
    line = row.line
    asked = line.guardian or line.guardian_email
    if line.age_band == AgeBand.ADULT:
        if asked and not line.says_age:
            row.refuse(_("A guardian is named, but no age. Write how old they are."))
        elif asked:
            row.words.append(_("18 or over: no guardian is kept."))
        return
    if not asked:
        row.refuse(_("Somebody under 18 needs a guardian: name the adult."))
        return
    adults = _adults_meant(line, by_name, by_email)
    if len(adults) == 1:
        row.guardian = adults[0]
    elif adults:
        row.refuse(_("Several adults fit the guardian. Add the e-mail address."))
    else:
        words = _("No adult on the list or in the file is the guardian: %s.")
        row.refuse(words % asked)


def _adults_meant(
    line: Candidate, by_name: Grown, by_email: Grown
) -> list[Volunteer | Planned]:
    named = by_name.get(name_key(line.guardian), [])
    reached = by_email.get(line.guardian_email.casefold(), [])
    if line.guardian and line.guardian_email:
        return [one for one in reached if one in named]
    return reached if line.guardian_email else named


FILLED = ("email", "phone", "emergency_name", "emergency_phone", "born_on")


def intake_plan(
    demonstration: Demonstration,
    lines: Sequence[TableRow],
    columns: Sequence[str],
    today: date,
) -> IntakePlan:
    """Say what becomes of every line; one query, however long the file is."""
    listed: dict[str, list[Volunteer]] = defaultdict(list)
    gone: set[str] = set()
    for person in Volunteer.objects.of(demonstration).by_name():
        if person.left_at is None:
            listed[name_key(person.name)].append(person)
        elif person.erased_at is None and person.merged_into_id is None:
            gone.add(name_key(person.name))
    candidates = [
        read_candidate(
            line, columns, today=today, keeps_dates=demonstration.asks_birth_date
        )
        for line in lines
    ]
    planned = [_planned(one, listed[name_key(one.name)], gone) for one in candidates]
    _refuse_repeats(planned)
    find_guardians(planned, [one for group in listed.values() for one in group])
    return IntakePlan(tuple(planned))


def _planned(line: Candidate, listed: list[Volunteer], gone: set[str]) -> Planned:
    if line.troubles:
        return Planned(line, Verdict.REFUSED, list(line.troubles))
    if not listed:
        return _unlisted(line, gone)
    same = [one for one in listed if _one_address(line.email, one.email)]
    named = [one for one in same if line.email and one.email]
    if len(named) == 1:
        return _beside(line, named[0])
    if len(same) == 1 and len(listed) == 1:
        return _beside(line, same[0])
    if not same:
        return _apart(line, listed)
    if any(not _missing(line, one) and not _kept(line, one) for one in same):
        return Planned(line, Verdict.SAME, [_("There are several of this name.")])
    return _refuse(
        line, _("Several on the list have this name. Write it in on their own pages.")
    )


def _unlisted(line: Candidate, gone: set[str]) -> Planned:
    if name_key(line.name) in gone:
        return _refuse(line, _("They were on the list and left. Put them back there."))
    if not _can_be_called(line, line.emergency_phone):
        words = _("The emergency contact needs a telephone number in digits.")
        return _refuse(line, words)
    return Planned(line, Verdict.NEW)


def _apart(line: Candidate, listed: list[Volunteer]) -> Planned:
    """Take a namesake with another address for the same person who has two."""
    return _refuse(
        line,
        _(
            "%(name)s is on the list with another e-mail address: %(address)s. Correct "
            "one of them; if they are two people, tell them apart by the name."
        )
        % {"name": line.name, "address": listed[0].email},
    )


def _beside(line: Candidate, person: Volunteer) -> Planned:
    """Compare a line with the person it speaks of; what the list has stays."""
    fills = tuple(_missing(line, person))
    kept = _kept(line, person)
    words = [_("The list keeps its own: %s.") % ", ".join(kept)] if kept else []
    verdict = Verdict.FILL if fills else Verdict.SAME
    return Planned(line, verdict, words, person=person, fills=fills)


def _kept(line: Candidate, person: Volunteer) -> list[str]:
    """Name what the line says otherwise than the list, which keeps its own."""
    kept = [
        field_label(name)
        for name in ("phone", "emergency_name", "emergency_phone", "born_on")
        if getattr(line, name)
        and getattr(person, name)
        and _differs(getattr(line, name), getattr(person, name))
    ]
    if line.says_age and line.age_band != person.age_band:
        kept.append(_("age"))
    return kept


def _missing(line: Candidate, person: Volunteer) -> list[str]:
    missing = [n for n in FILLED if getattr(line, n) and not getattr(person, n)]
    if _can_be_called(line, line.emergency_phone or person.emergency_phone):
        return missing
    return [name for name in missing if not name.startswith("emergency")]


def _can_be_called(line: Candidate, phone: str) -> bool:
    """Tell whether somebody to call, if a line names any, has a number."""
    named = line.emergency_name or line.emergency_phone
    return not named or any(sign.isdigit() for sign in phone)


def _differs(new: object, old: object) -> bool:
    return name_key(str(new)).replace(" ", "") != name_key(str(old)).replace(" ", "")


def _one_address(new: str, old: str) -> bool:
    """Tell whether two addresses may be one person's: one of them may be unknown."""
    return not new or not old or new.casefold() == old.casefold()


def _refuse(line: Candidate, why: str) -> Planned:
    return Planned(line, Verdict.REFUSED, [why])


def _refuse_repeats(planned: Iterable[Planned]) -> None:
    """Refuse a second line about somebody whom an earlier line enters or fills in."""
    new: dict[str, list[Planned]] = defaultdict(list)
    filled: dict[int, Planned] = {}
    for row in planned:
        earlier: Planned | None = None
        if row.verdict is Verdict.NEW:
            group = new[name_key(row.line.name)]
            earlier = next(
                (o for o in group if _one_address(row.line.email, o.line.email)), None
            )
            group.append(row)
        elif row.verdict is Verdict.FILL and row.person:
            earlier = filled.setdefault(row.person.pk, row)
        if earlier and earlier is not row:
            words = _("Line %d says the same name. Keep one of the two.")
            row.refuse(words % earlier.line.number)


def roll_heads() -> list[str]:
    """Name the columns; taking the file in again knows them by these words."""
    return [
        _("Name"),
        _("E-mail address"),
        _("Telephone"),
        _("Age"),
        _("Date of birth"),
        _("Guardian"),
        _("Guardian's e-mail address"),
        _("Emergency contact"),
        _("Emergency telephone"),
        _("Can do"),
        _("Organiser"),
        _("Has an account"),
        _("On the list since"),
    ]


def roll(demonstration: Demonstration) -> Iterator[list[str]]:
    """Give everybody on the list, one line each; two queries. No health notes."""
    skills = Prefetch("skills", Skill.objects.for_page())
    people = Volunteer.objects.of(demonstration).active().by_name()
    for person in people.select_related("guardian").prefetch_related(skills):
        yield _line(person, demonstration)


def _line(person: Volunteer, demonstration: Demonstration) -> list[str]:
    guardian = person.guardian
    joined = timezone.localdate(person.joined_at, demonstration.zone)
    able = [skill for skill in person.skills.all() if skill.confirmed_at]
    return [
        person.name,
        person.email,
        person.phone,
        str(person.age.label),
        f"{person.born_on:%Y-%m-%d}" if person.born_on else "",
        guardian.name if guardian else "",
        guardian.email if guardian else "",
        person.emergency_name,
        person.emergency_phone,
        "; ".join(skill.competence.title for skill in able),
        _("yes") if person.is_organiser else _("no"),
        _("yes") if person.user_id else _("no"),
        f"{joined:%Y-%m-%d}",
    ]
