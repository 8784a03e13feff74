"""The second form of every letter: the same words, laid out for a mail reader.

The text of a letter is the truth and its HTML is made from it, so that the two cannot
disagree. It sets no colours and fetches nothing.
"""

import re
from typing import Final, NamedTuple

from django.template.loader import render_to_string

ADDRESS: Final = re.compile(r"(https?://\S+)")
LABEL: Final = re.compile(r"([^\s:][^:]{0,39}:) (\S.*)")


class TextLine(NamedTuple):
    """A line of a letter: its label, if it has one, and what follows in pieces."""

    label: str
    pieces: tuple[str, ...]


def laid_out(subject: str, text: str) -> str:
    """Return a plain letter as HTML; it says the same words and nothing more."""
    blocks = [
        [_line(line) for line in block.splitlines() if line.strip()]
        for block in re.split(r"\n\s*\n", text.strip())
    ]
    facts = {"subject": " ".join(subject.split()), "blocks": [b for b in blocks if b]}
    return render_to_string("mail/base.html", facts)


def _line(line: str) -> TextLine:
    match = LABEL.fullmatch(line.strip())
    label, rest = match.groups() if match else ("", line.strip())
    return TextLine(label, tuple(piece for piece in ADDRESS.split(rest) if piece))
