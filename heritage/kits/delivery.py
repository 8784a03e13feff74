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
from enum import StrEnum
from typing import Final

LONGEST: Final = 1024 * 1024
MESSAGE_ID: Final = re.compile(r"<[^<>\s]+>")
STATUS: Final = re.compile(r"\b([245])\.(\d{1,3})\.(\d{1,3})\b")


class Trouble(StrEnum):
    """What the second and third figures of a status mean (RFC 3463, section 3)."""

    NO_MAILBOX = "1.1"
    NO_SERVER = "1.2"
    MISWRITTEN = "1.3"
    MOVED = "1.6"
    MAILBOX_UNWELL = "2.0"
    MAILBOX_CLOSED = "2.1"
    MAILBOX_FULL = "2.2"
    TOO_LONG = "2.3"
    NO_ANSWER = "4.1"
    NO_WAY = "4.4"
    GAVE_UP = "4.7"
    REFUSED = "7.1"


@dataclass(frozen=True, slots=True)
class Failure:
    """That a letter did not reach a reader, for good; which letter it was, and why.

    ``said`` is what the mail server wrote itself: its words, or else its status.
    """

    message_ids: tuple[str, ...]
    address: str
    subject: str
    trouble: Trouble | None
    said: str


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
    status, code = _field(group, "Status"), _field(group, "Diagnostic-Code")
    words = code.partition(";")[2].strip() or code
    return Failure(
        message_ids=tuple(MESSAGE_ID.findall(_field(original, "Message-ID"))),
        address=parseaddr(address.rpartition(";")[2])[1],
        subject=_field(original, "Subject"),
        trouble=_trouble(STATUS.search(status) or STATUS.search(words)),
        said=words or status,
    )


def _trouble(status: re.Match[str] | None) -> Trouble | None:
    figures = f"{status[2]}.{status[3]}" if status else ""
    return Trouble(figures) if figures in set(Trouble) else None


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
