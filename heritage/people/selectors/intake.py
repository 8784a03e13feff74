"""What taking in somebody's own list would do, line by line, before it is done."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import date

from django.utils.translation import gettext as _

from heritage.kits.tables import Line
from heritage.people.models import Volunteer
from heritage.people.selectors.candidates import Candidate, name_key, read_candidate
from heritage.people.selectors.guardians import find_guardians
from heritage.people.selectors.plan import (
    IntakePlan,
    Planned,
    Verdict,
    field_label,
)
from heritage.season.models import Demonstration

FILLED = ("email", "phone", "emergency_name", "emergency_phone", "born_on")


def intake_plan(
    demonstration: Demonstration,
    lines: Sequence[Line],
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
    said = [
        read_candidate(
            line, columns, today=today, keeps_dates=demonstration.asks_birth_date
        )
        for line in lines
    ]
    planned = [_planned(line, listed[name_key(line.name)], gone) for line in said]
    _refuse_repeats(planned)
    find_guardians(planned, [one for group in listed.values() for one in group])
    return IntakePlan(tuple(planned))


def _planned(line: Candidate, listed: list[Volunteer], gone: set[str]) -> Planned:
    if line.troubles:
        return Planned(line, Verdict.REFUSED, list(line.troubles))
    if not listed:
        if name_key(line.name) in gone:
            return _refuse(
                line, _("They were on the list and left. Put them back there.")
            )
        if not _can_be_called(line, line.emergency_phone):
            return _refuse(
                line,
                _("Whom to call in an emergency needs a telephone number in digits."),
            )
        return Planned(line, Verdict.NEW)
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


def _differs(said: object, held: object) -> bool:
    return name_key(str(said)).replace(" ", "") != name_key(str(held)).replace(" ", "")


def _one_address(said: str, held: str) -> bool:
    """Tell whether two addresses may be one person's: one of them may be unknown."""
    return not said or not held or said.casefold() == held.casefold()


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
            row.verdict, row.fills = Verdict.REFUSED, ()
            row.words = [
                _("Line %d says the same name. Keep one of the two.")
                % earlier.line.number
            ]
