"""Rows of the book that other trades' tests have no use for."""

from typing import Any

from heritage.gatherings.models import Call
from heritage.tally.models import OwnLog, PulledArea, Work
from tests.factories import NOW, make_user


def make_measure(**fields: Any) -> PulledArea:
    fields = {"entered_at": NOW} | fields
    fields.setdefault("entered_by", None)
    fields["entered_by"] = fields["entered_by"] or make_user()
    return PulledArea.objects.create(**fields)


def make_work(**fields: Any) -> Work:
    fields = {"kind": "bands", "amount": 20, "entered_at": NOW} | fields
    if "entered_by" not in fields:
        fields["entered_by"] = make_user()
    return Work.objects.create(**fields)


def make_own_log(**fields: Any) -> OwnLog:
    fields = {"beets": 6, "said_at": NOW} | fields
    if "said_by" not in fields:
        fields["said_by"] = fields["volunteer"].user or make_user()
    return OwnLog.objects.create(**fields)


def make_call(**fields: Any) -> Call:
    fields = {"decision": "go", "advice": "go"} | fields
    fields.setdefault("made_at", fields["gathering"].starts_at)
    return Call.objects.create(made_by=make_user(), **fields)
