"""A printing of many sheets."""

from typing import Any

from django.core.files.base import ContentFile

from heritage.common.making import State
from heritage.printing.models import Printing
from tests.factories.core import NOW, make_demonstration


def make_printing(**fields: Any) -> Printing:
    """Make a printing that is made, unless another state is said."""
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    fields = {
        "name": "booklet", "mark": "0" * 64, "asked_at": NOW, "told_at": NOW,
        "state": State.MADE, "total": 48,
    } | fields  # fmt: skip
    if fields["state"] == State.MADE:
        fields = {"made_at": NOW, "file": ContentFile(b"%PDF-1.7", "a.pdf")} | fields
    return Printing.objects.create(**fields)
