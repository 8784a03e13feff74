"""One line of somebody's own list, read as a person: or why it cannot be."""

import re
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.translation import gettext as _

from heritage.kits.tables import Line
from heritage.people.models import AgeBand
from heritage.people.selectors.columns import Column

# How long each text may be, as on the list itself.
LONGEST = {
    Column.NAME: 120,
    Column.PHONE: 40,
    Column.EMERGENCY_NAME: 120,
    Column.EMERGENCY_PHONE: 40,
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
    line: Line, columns: Sequence[str], *, today: date, keeps_dates: bool
) -> Candidate:
    """Read a line, with every trouble it has in plain words.

    A date of birth is kept only where the demonstration keeps dates; elsewhere it
    says the age and is forgotten.
    """
    said = dict(zip(columns, line.cells, strict=True))
    name = said.get(Column.NAME, "")
    parts = (said.get(Column.FIRST, ""), name, said.get(Column.LAST, ""))
    name = " ".join(filter(None, parts))
    troubles = _unsaved(line, columns) + _too_long(said | {Column.NAME: name})
    if not name_key(name) and not _unsaved(line, columns):
        troubles.append(_("There is no name. Write one, or take the line out."))
    troubles += _bad_addresses(said)
    born_on = _born(said.get(Column.BORN, ""), today, troubles)
    band = _band(said.get(Column.AGE, ""), born_on, today, troubles)
    return Candidate(
        number=line.number,
        name=name,
        email=said.get(Column.EMAIL, ""),
        phone=said.get(Column.PHONE, ""),
        age_band=band or AgeBand.ADULT,
        says_age=band is not None,
        born_on=born_on if keeps_dates else None,
        guardian=said.get(Column.GUARDIAN, ""),
        guardian_email=said.get(Column.GUARDIAN_EMAIL, ""),
        emergency_name=said.get(Column.EMERGENCY_NAME, ""),
        emergency_phone=said.get(Column.EMERGENCY_PHONE, ""),
        troubles=troubles,
    )


def _unsaved(line: Line, columns: Sequence[str]) -> list[str]:
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


def _too_long(said: dict[str, str]) -> list[str]:
    return [
        _("The %(what)s is longer than %(most)d signs. Shorten it.")
        % {"what": column.label, "most": most}
        for column, most in LONGEST.items()
        if len(said.get(column, "")) > most
    ]


def _bad_addresses(said: dict[str, str]) -> list[str]:
    troubles = []
    for column in (Column.EMAIL, Column.GUARDIAN_EMAIL):
        address = said.get(column, "")
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
    if not 0 <= _years(born, today) <= OLDEST:
        troubles.append(_("Nobody here was born on %s. Correct the date.") % text)
        return None
    return born


def _band(
    text: str, born_on: date | None, today: date, troubles: list[str]
) -> AgeBand | None:
    """Return how old somebody is: by their birth, or by what is said of their age."""
    if born_on is not None:
        return _band_at(_years(born_on, today))
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
        return _band_at(int(years[1]))
    troubles.append(
        _("“%s” is no age. Write it in years, or one of: %s.")
        % (text, "; ".join(str(label) for label in AgeBand.labels))
    )
    return None


def _years(born: date, today: date) -> int:
    return today.year - born.year - ((today.month, today.day) < (born.month, born.day))


def _band_at(years: int) -> AgeBand:
    return max(
        (band for band in AgeBand if band.least_age <= years),
        key=lambda band: band.least_age,
    )
