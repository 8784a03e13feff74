"""Mail leaves here: one letter, made whole, is handed to the mail server.

Who is written to, when, and what becomes of it is the letter book's affair
(`heritage.people.letters.services`); here is only the handing over, and an answer
that can be told apart: taken, not taken, or not known.
"""

import base64
import smtplib
from collections.abc import Sequence
from contextlib import suppress
from typing import NamedTuple

from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends import smtp
from django.utils.translation import gettext as _

from heritage.common.mail_layout import laid_out

CALENDAR = "text/calendar"
PERMANENT = 500


class Attachment(NamedTuple):
    """Something sent with a letter; a calendar part is read by the mail reader."""

    name: str
    content: bytes
    content_type: str


class NotTakenError(Exception):
    """The server has not got the letter; ``for_good`` where asking again is vain."""

    def __init__(
        self, words: str, *, for_good: bool = False, unreachable: bool = False
    ) -> None:
        super().__init__(words)
        self.for_good = for_good
        self.unreachable = unreachable


class NotKnownError(Exception):
    """The letter may have gone or not: it must not be sent again unasked."""


class _BrokenError(smtplib.SMTPServerDisconnected):
    """The line broke while the letter itself was being given."""


class _Watched(smtplib.SMTP):
    """A mail session that tells a line broken before the letter from one after."""

    def data(self, msg):  # type: ignore[no-untyped-def]
        try:
            return super().data(msg)
        except smtplib.SMTPServerDisconnected as error:
            raise _BrokenError(*error.args) from error


class _WatchedSsl(_Watched, smtplib.SMTP_SSL):
    """The same, over TLS from the first byte."""


class ServerBackend(smtp.EmailBackend):
    """Django's own, with a session that knows how far it came."""

    @property
    def connection_class(self) -> type[smtplib.SMTP]:
        return _WatchedSsl if self.use_ssl else _Watched


def one_line(words: str) -> str:
    """Fold line breaks, so that what somebody typed can never become a header."""
    return " ".join(words.split())


def pack(parts: Sequence[Attachment]) -> list[list[str]]:
    """Make attachments fit to be kept as JSON."""
    return [
        [part.name, base64.b64encode(part.content).decode("ascii"), part.content_type]
        for part in parts
    ]


def compose(
    *,
    subject: str,
    text: str,
    to: str,
    html: str = "",
    parts: Sequence[Sequence[str]] = (),
    message_id: str = "",
) -> EmailMultiAlternatives:
    """Make a letter to one address: plain words, the same laid out, and its parts."""
    headers = {"Auto-Submitted": "auto-generated"}  # RFC 3834: no answering machine
    if message_id:
        headers["Message-ID"] = message_id
    letter = EmailMultiAlternatives(one_line(subject), text, to=[to], headers=headers)
    letter.attach_alternative(html or laid_out(subject, text), "text/html")
    calendars = sum(part[2].startswith(CALENDAR) for part in parts)
    for name, packed, content_type in parts:
        content = base64.b64decode(packed)
        # RFC 6047: the method stands in the part's type as in its body. One calendar
        # message is another form of the letter; of several, a mail reader would show
        # only the last, so they are attached.
        if content_type.startswith(CALENDAR) and calendars == 1:
            letter.attach_alternative(content.decode(), content_type)
        else:
            letter.attach(name, content, content_type)
    return letter


def hand_over(letter: EmailMultiAlternatives) -> None:
    """Give a letter to the mail server.

    Raises
    ------
    NotTakenError
        If the server has not accepted it.
    NotKnownError
        If the line broke after the letter was given, before it was acknowledged.
    """
    try:
        letter.message()
    except ValueError as error:
        raise NotTakenError(_words(error), for_good=True) from error
    connection = get_connection()
    try:
        connection.open()
    except OSError as error:
        raise NotTakenError(
            _("The mail server cannot be reached: %s") % _words(error),
            unreachable=True,
        ) from error
    try:
        _give(connection, letter)
    finally:
        # The letter is taken by now; a server that hangs up rudely changes nothing.
        with suppress(OSError):
            connection.close()


def _give(connection: object, letter: EmailMultiAlternatives) -> None:
    try:
        connection.send_messages([letter])  # type: ignore[attr-defined]
    except _BrokenError as error:
        raise NotKnownError(_words(error)) from error
    except smtplib.SMTPRecipientsRefused as error:
        code, words = next(iter(error.recipients.values()))
        raise NotTakenError(_answer(code, words), for_good=code >= PERMANENT) from error
    except smtplib.SMTPDataError as error:
        raise NotTakenError(
            _answer(error.smtp_code, error.smtp_error),
            for_good=error.smtp_code >= PERMANENT,
        ) from error
    except smtplib.SMTPResponseException as error:
        # The sender is refused, not the reader: once that is mended it may go.
        raise NotTakenError(_answer(error.smtp_code, error.smtp_error)) from error
    except smtplib.SMTPNotSupportedError as error:
        raise NotTakenError(_words(error), for_good=True) from error
    except smtplib.SMTPException as error:
        raise NotTakenError(_words(error)) from error
    except Exception as error:
        raise NotKnownError(_words(error)) from error


def _answer(code: int, text: bytes | str) -> str:
    words = text.decode("utf-8", "replace") if isinstance(text, bytes) else text
    return _("The mail server answered: %s") % one_line(f"{code} {words}")


def _words(error: Exception) -> str:
    return one_line(str(error)) or type(error).__name__
