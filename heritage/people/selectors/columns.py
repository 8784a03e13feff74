"""What the columns of somebody's own list hold, guessed from their headings."""

import re
from collections.abc import Sequence

from django.db.models import TextChoices
from django.utils.translation import gettext_lazy as _

from heritage.kits.tables import Line


class Column(TextChoices):
    """What a column of a list may hold that is kept here."""

    NAME = "name", _("name")
    FIRST = "first", _("first name")
    LAST = "last", _("surname")
    EMAIL = "email", _("e-mail address")
    PHONE = "phone", _("telephone")
    AGE = "age", _("age")
    BORN = "born", _("date of birth")
    GUARDIAN = "guardian", _("guardian's name")
    GUARDIAN_EMAIL = "guardian_email", _("guardian's e-mail address")
    EMERGENCY_NAME = "emergency_name", _("whom to call in an emergency")
    EMERGENCY_PHONE = "emergency_phone", _("their telephone in an emergency")


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


def find_heads(lines: Sequence[Line]) -> tuple[int, bool]:
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
    found: list[str] = []
    for head in heads:
        column = _guess(head)
        found.append("" if column in found else column)
    return found


def _guess(head: str) -> str:
    words = " ".join(re.findall(r"[a-z]+", head.casefold().translate(APOSTROPHES)))
    for column, pattern in GUESSES:
        if re.search(pattern, words):
            return column.value
    return ""
