"""Who answers for a child that a list brings: somebody listed, or in the same file."""

from collections import defaultdict
from collections.abc import Sequence

from django.utils.translation import gettext as _

from heritage.people.models import AgeBand, Volunteer
from heritage.people.selectors.candidates import Candidate, name_key
from heritage.people.selectors.plan import Planned, Verdict

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
        said = one.line if isinstance(one, Planned) else one
        by_name[name_key(said.name)].append(one)
        by_email[said.email.casefold()].append(one)
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
            _turn_down(
                row, _("A guardian is named, but no age. Write how old they are.")
            )
        elif asked:
            row.words.append(_("18 or over: no guardian is kept."))
        return
    if not asked:
        _turn_down(row, _("Somebody under 18 needs a guardian: name the adult."))
        return
    found = _found(line, by_name, by_email)
    if len(found) == 1:
        row.guardian = found[0]
    elif found:
        _turn_down(row, _("Several adults fit the guardian. Add the e-mail address."))
    else:
        _turn_down(
            row, _("No adult on the list or in the file is the guardian: %s.") % asked
        )


def _found(
    line: Candidate, by_name: Grown, by_email: Grown
) -> list[Volunteer | Planned]:
    named = by_name.get(name_key(line.guardian), [])
    reached = by_email.get(line.guardian_email.casefold(), [])
    if line.guardian and line.guardian_email:
        return [one for one in reached if one in named]
    return reached if line.guardian_email else named


def _turn_down(row: Planned, why: str) -> None:
    row.verdict, row.words = Verdict.REFUSED, [why]
