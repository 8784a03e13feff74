"""Reading what mail servers say of letters they could not deliver (RFC 3464).

A report names the letter by the headers it carries back, and each reader by a group
of fields. Nothing here trusts the report: whatever it holds, reading it gives an
answer or none, never an error.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from email import message_from_bytes
from email.header import decode_header, make_header
from email.message import Message
from email.utils import parseaddr
from typing import Final

LONGEST: Final = 1024 * 1024
MESSAGE_ID: Final = re.compile(r"<[^<>\s]+>")
STATUS: Final = re.compile(r"\b([245])\.(\d{1,3})\.(\d{1,3})\b")
# RFC 3463, section 3: what the second and third figures of a status mean.
MEANINGS: Final = {
    "1.1": "There is no such mailbox.",
    "1.2": "There is no such mail server.",
    "1.3": "The address is not written rightly.",
    "1.6": "The mailbox has moved, and nobody says where.",
    "2.0": "Something is wrong with the mailbox.",
    "2.1": "The mailbox is closed.",
    "2.2": "The mailbox is full.",
    "2.3": "The letter is too long for the mailbox.",
    "4.1": "The reader's mail server does not answer.",
    "4.4": "No way to the reader's mail server was found.",
    "4.7": "It was tried for too long.",
    "7.1": "The reader's mail server does not accept our letters.",
}


@dataclass(frozen=True, slots=True)
class Failure:
    """That a letter did not reach a reader, for good; and which letter it was."""

    message_ids: tuple[str, ...]
    address: str
    subject: str
    reason: str


def read_failure(report: bytes) -> Failure | None:
    """Return what failed for good; None if nothing did, or it is no such report."""
    try:
        whole = message_from_bytes(report[:LONGEST])
        failed = next(filter(_is_final, _readers(whole)), None)
        if failed is None:
            return None
        return _failure(failed, _original(whole))
    except (ValueError, LookupError, TypeError, AttributeError, AssertionError):
        # The library stumbles over what no mail server would write.
        return None


def _readers(whole: Message) -> Iterator[Message]:
    """Give the group of fields about each reader."""
    for part in whole.walk():
        if part.get_content_type() == "message/delivery-status":
            groups = part.get_payload()
            if isinstance(groups, list):
                yield from (
                    group
                    for group in groups
                    if isinstance(group, Message) and "Final-Recipient" in group
                )


def _is_final(group: Message) -> bool:
    """Tell a failure from a delay; without an action the status has to say it."""
    action = _field(group, "Action").lower()
    if action:
        return action == "failed"
    return _field(group, "Status").startswith("5")


def _failure(group: Message, original: Message) -> Failure:
    address = _field(group, "Original-Recipient") or _field(group, "Final-Recipient")
    return Failure(
        message_ids=tuple(MESSAGE_ID.findall(_field(original, "Message-ID"))),
        address=parseaddr(address.rpartition(";")[2])[1],
        subject=_field(original, "Subject"),
        reason=_reason(group),
    )


def _reason(group: Message) -> str:
    status, said = _field(group, "Status"), _field(group, "Diagnostic-Code")
    words = said.partition(";")[2].strip() or said
    found = STATUS.search(status) or STATUS.search(words)
    meaning = MEANINGS.get(f"{found[2]}.{found[3]}", "") if found else ""
    return " ".join(part for part in (meaning, words or status) if part)


def _original(whole: Message) -> Message:
    """Return the headers of the letter that came back."""
    for part in whole.walk():
        kind, inside = part.get_content_type(), part.get_payload()
        if kind == "message/rfc822" and isinstance(inside, list):
            return next((one for one in inside if isinstance(one, Message)), Message())
        if kind == "text/rfc822-headers":
            raw = part.get_payload(decode=True)
            return message_from_bytes(raw) if isinstance(raw, bytes) else Message()
    return Message()


def _field(message: Message, name: str) -> str:
    """Return a field on one line, its encoded words read."""
    raw = str(message.get(name, ""))
    try:
        words = str(make_header(decode_header(raw)))
    except (ValueError, LookupError):
        words = raw
    return " ".join(words.split())
