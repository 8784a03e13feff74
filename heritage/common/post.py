"""Mail leaves here, through the task queue, one letter to each address."""

import base64
from collections.abc import Sequence
from typing import NamedTuple

from django.core.mail import EmailMultiAlternatives
from django.core.validators import validate_email
from django_tasks import task

CALENDAR = "text/calendar"


class Attachment(NamedTuple):
    """Something sent with a letter; a calendar part is read by the mail reader."""

    name: str
    content: bytes
    content_type: str


def send(
    *,
    subject: str,
    body: str,
    to: Sequence[str],
    attachments: Sequence[Attachment] = (),
    html: str = "",
) -> None:
    """Queue a letter for each address; nobody sees who else was written to.

    A line break in the subject is folded to a space, so that what somebody typed
    can never become a header.
    """
    packed = [
        [part.name, base64.b64encode(part.content).decode("ascii"), part.content_type]
        for part in attachments
    ]
    for address in dict.fromkeys(to):
        validate_email(address)
        deliver.enqueue(
            subject=" ".join(subject.split()),
            body=body,
            to=address,
            attachments=packed,
            html=html,
        )


@task()
def deliver(
    subject: str, body: str, to: str, attachments: list[list[str]], html: str
) -> None:
    """Hand one letter to the mail server."""
    letter = EmailMultiAlternatives(subject=subject, body=body, to=[to])
    if html:
        letter.attach_alternative(html, "text/html")
    for name, packed, content_type in attachments:
        content = base64.b64decode(packed)
        if content_type.startswith(CALENDAR):
            # RFC 6047: the method stands in the part's type as in its body.
            letter.attach_alternative(content.decode(), content_type)
        else:
            letter.attach(name, content, content_type)
    letter.send()
