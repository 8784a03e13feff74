"""What people asked about what is held of them, one row at a time."""

from typing import Any

from heritage.privacy.models import Complaint, ComplaintStep, Erasure, Merge, Tidying
from tests.factories.core import NOW, make_demonstration, make_user, make_volunteer


def make_erasure(**fields: Any) -> Erasure:
    if "volunteer" not in fields:
        fields["volunteer"] = make_volunteer()
    fields.setdefault("demonstration", fields["volunteer"].demonstration)
    fields.setdefault("asked_by", fields["volunteer"].user or make_user())
    return Erasure.objects.create(**({"asked_at": NOW} | fields))


def make_merge(**fields: Any) -> Merge:
    if "kept" not in fields:
        fields["kept"] = make_volunteer()
    home = fields["kept"].demonstration
    if "gone" not in fields:
        fields["gone"] = make_volunteer(
            demonstration=home, user=None, left_at=NOW, merged_into=fields["kept"]
        )
    fields = {"demonstration": home, "at": NOW} | fields
    fields.setdefault("by", fields["kept"].user or make_user())
    return Merge.objects.create(**fields)


def make_tidying(**fields: Any) -> Tidying:
    fields = {"rule": "letters", "rows": 3, "at": NOW} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Tidying.objects.create(**fields)


def make_complaint(**fields: Any) -> Complaint:
    fields = {"about": "My name stood on a poster.", "made_at": NOW} | fields
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    return Complaint.objects.create(**fields)


def make_complaint_step(**fields: Any) -> ComplaintStep:
    fields = {"at": NOW, "text": "The poster was taken down."} | fields
    if "complaint" not in fields:
        fields["complaint"] = make_complaint()
    return ComplaintStep.objects.create(**fields)
