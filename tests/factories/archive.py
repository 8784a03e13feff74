"""An archive of a season, with a small bag for its file."""

from typing import Any

from django.core.files.base import ContentFile

from heritage.archive.models import Archive
from heritage.common.making import State
from heritage.kits.bag import Bag, Part
from tests.factories.core import NOW, make_demonstration, make_user


def small_bag() -> tuple[bytes, str]:
    """Return a bag of one file, and its mark."""
    bag = Bag("season", [Part("about.txt", [b"flax"])], info=(), moment=NOW)
    return b"".join(bag.pieces()), bag.mark


def make_archive(**fields: Any) -> Archive:
    """Make an archive that is made, unless another state is said."""
    if "demonstration" not in fields:
        fields["demonstration"] = make_demonstration()
    if "asked_by" not in fields:
        fields["asked_by"] = make_user()
    fields = {"asked_at": NOW, "told_at": NOW, "state": State.MADE} | fields
    if fields["state"] == State.MADE:
        data, mark = small_bag()
        fields.setdefault("file", ContentFile(data, name="season.zip"))
        fields = {"made_at": NOW, "mark": mark, "octets": len(data)} | fields
    return Archive.objects.create(**fields)
