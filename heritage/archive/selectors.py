"""What the archive's page shows, and the rows that an archive is made of."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from django.db.models import QuerySet

from heritage.archive.models import Archive
from heritage.archive.words import FINDINGS
from heritage.briefings.models import BriefingVersion
from heritage.common.making import State
from heritage.common.models import Viewer
from heritage.dam.models import Ret
from heritage.pictures.models import DeletedPicture, Picture, PictureQuerySet
from heritage.season.models import Demonstration

FINDINGS_SHOWN = 10


@dataclass(frozen=True, slots=True)
class ArchivePage:
    """The newest archive that is made, one that is being made, and what went wrong.

    ``taken_back`` counts the pictures in it that visitors may no longer see.
    """

    archive: Archive | None
    going: Archive | None
    failed: Archive | None
    taken_back: int

    @property
    def findings(self) -> list[tuple[str, str]]:
        """What is wrong with the archive, in words, each with its file."""
        if self.archive is None:
            return []
        found = self.archive.wrong_files[:FINDINGS_SHOWN]
        return [(str(FINDINGS[wrong]), path) for wrong, path in found]


def archive_page(
    demonstration: Demonstration, user: Viewer, now: datetime
) -> ArchivePage:
    """Return how things stand: three queries, and two where an archive is made."""
    rows = Archive.objects.visible_to(user).of(demonstration).newest_first()
    made, newest = rows.made().first(), rows.first()
    going = rows.going().first()
    if going and going.is_quiet(now):
        going = None
    failed = newest if newest and newest.state == State.FAILED else None
    return ArchivePage(made, going, failed, _taken_back(made) if made else 0)


def _taken_back(archive: Archive) -> int:
    """Count what was taken down or deleted since an archive was made."""
    here = archive.demonstration_id
    still = set(
        Picture.objects.filter(demonstration=here, pk__in=archive.shown)
        .published()
        .values_list("pk", flat=True)
    )
    deleted = DeletedPicture.objects.filter(
        demonstration=here, deleted_at__gte=archive.asked_at
    )
    gone = len(set(archive.shown) - still)
    return max(gone, deleted.count())


def kept_pictures(demonstration: Demonstration) -> PictureQuerySet:
    """Keep the pictures that go into an archive: not those an erasure has closed."""
    rows = Picture.objects.of(demonstration).not_closed()
    return rows.select_related("demonstration").in_order()


def briefing_versions(demonstration: Demonstration) -> QuerySet[BriefingVersion]:
    """Keep every version that people may have heard, the oldest first."""
    rows = BriefingVersion.objects.of(demonstration)
    rows = rows.select_related("briefing__demonstration")
    return rows.order_by("briefing", "number")


def rets(demonstration: Demonstration) -> QuerySet[Ret]:
    """Keep every filling of a dam, the first first."""
    rows = Ret.objects.of(demonstration).select_related("dam__demonstration")
    return rows.order_by("began_at", "pk")


def one_by_one(pictures: PictureQuerySet) -> Iterator[Picture]:
    """Read pictures a stretch at a time."""
    return pictures.iterator(chunk_size=500)
