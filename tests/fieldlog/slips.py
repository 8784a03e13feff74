"""Slips as a phone makes them, for the tests."""

import uuid
from datetime import timedelta

from heritage.fieldlog.selectors import read_slip
from tests.factories import NOW

# The evening of the tests begins an hour before the tests' own moment.
STARTS, ENDS = NOW - timedelta(hours=1), NOW + timedelta(hours=2)


def said(kind, at=NOW, key=None, **data):
    """Return a slip as it is sent."""
    key = str(key or uuid.uuid4())
    return {"key": key, "kind": kind, "at": at and at.isoformat(), "data": data}


def slip(kind, at=NOW, key=None, sent_at=NOW, photograph=None, **data):
    """Return a slip as it is read."""
    sent = sent_at and sent_at.isoformat()
    letter = said(kind, at, key, **data)
    return read_slip(letter, sent_at=sent, photograph=photograph)
