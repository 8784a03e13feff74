"""An archive is asked for, made beside everything else, read through, and dropped.

It is written to the store piece by piece and named by its row once it is whole, so one
that broke off is found by nobody and taken away by the nightly round. Only the newest
is kept: it takes the place of the one before.
"""

from collections.abc import Callable
from datetime import datetime
from functools import partial
from importlib.metadata import version

from django.core.files.storage import default_storage
from django.db import transaction
from django_tasks import task

from heritage.archive.models import Archive, archive_path
from heritage.archive.selectors import kept_pictures
from heritage.archive.sheets import Contents
from heritage.archive.words import GONE
from heritage.common import clock
from heritage.common.making import (
    State,
    WhyNot,
    begin,
    drop,
    give_up_quiet,
    told_if_it_fails,
)
from heritage.common.rows import fill_in, lock
from heritage.common.store import Streamed
from heritage.kits.bag import Bag
from heritage.kits.bag_check import check
from heritage.people.models import User
from heritage.season.models import Demonstration

FINDINGS_KEPT = 100


@transaction.atomic
def ask(*, demonstration: Demonstration, by: User, now: datetime) -> Archive:
    """Ask for an archive; while one is being made, asking again is asking once."""
    lock(demonstration)
    rows = Archive.objects.of(demonstration)
    give_up_quiet(rows, now)
    going = rows.going().first()
    if going:
        return going
    row = Archive(demonstration=demonstration, asked_at=now, asked_by=by, told_at=now)
    fill_in(row, {"total": kept_pictures(demonstration).count()})
    transaction.on_commit(partial(make.enqueue, row.pk))
    return row


@task()
def make(key: int) -> None:
    """Make an archive that was asked for, and read it through once."""
    if write(key=key, tell_time=clock.now):
        read.enqueue(key)


def write(*, key: int, tell_time: Callable[[], datetime]) -> bool:
    """Make an archive, unless somebody does or did; tell whether it is made.

    ``tell_time`` says what time it is, as often as there is something to tell.
    """
    began = tell_time()
    rows = Archive.objects.filter(pk=key)
    if not begin(rows, began):
        return False
    archive = Archive.objects.select_related("demonstration").get(pk=key)

    def tell(done: int) -> None:
        rows.update(done=done, told_at=tell_time())

    contents = Contents(archive.demonstration, began, tell)
    bag = _bag(contents)
    name = ""
    with told_if_it_fails(rows):
        name = default_storage.save(archive_path(archive, ""), Streamed(bag.pieces()))
    return bool(name) and _take_in(key, name, bag, contents, tell_time())


def _bag(contents: Contents) -> Bag:
    home, day = contents.demonstration, contents.local
    return Bag(
        f"{home.slug}-{day:%Y-%m-%d}",
        contents.parts(),
        info=(
            ("Source-Organization", home.name),
            ("External-Description", f"{home.crop}, {home.place_name}, {home.year}"),
            ("External-Identifier", home.slug),
            ("Bagging-Date", f"{day:%Y-%m-%d}"),
            ("Bag-Software-Agent", f"heritage {version('heritage')}"),
        ),
        moment=day,
    )


@transaction.atomic
def _take_in(key: int, name: str, bag: Bag, contents: Contents, now: datetime) -> bool:
    """Name the file in its row and drop the archive before, or drop this one.

    It is dropped where somebody was erased, or where it was given up, meanwhile.
    """
    lock(contents.demonstration)
    archive = lock(Archive(pk=key))
    if archive.state != State.MAKING:
        transaction.on_commit(partial(default_storage.delete, name))
        return False
    drop(Archive.objects.of(contents.demonstration).made())
    archive.file = name
    archive.octets = default_storage.size(name)
    fill_in(
        archive,
        {
            "state": State.MADE,
            "made_at": now,
            "told_at": now,
            "done": archive.total,
            "mark": bag.mark,
            "shown": contents.shown,
            "missing": len(contents.missing),
        },
    )
    return True


def ask_to_read_through(*, archive: Archive) -> Archive:
    """Have an archive read through, beside everything else."""
    transaction.on_commit(partial(read.enqueue, archive.pk))
    return archive


@task()
def read(key: int) -> None:
    """Read an archive through again, unless it is gone meanwhile."""
    archive = Archive.objects.made().filter(pk=key).first()
    if archive:
        read_through(archive=archive, now=clock.now())


def read_through(*, archive: Archive, now: datetime) -> Archive:
    """Read an archive through, compare every file, and keep what was found."""
    try:
        with archive.file.open("rb") as stored:
            report = check(stored, mark=archive.mark)
        found = [[one.wrong.value, one.path] for one in report.findings]
    except OSError:
        found = [[GONE, ""]]
    archive.checked_at, archive.findings = now, found[:FINDINGS_KEPT]
    archive.save(update_fields=["checked_at", "findings"])
    return archive


@transaction.atomic
def drop_all(demonstration: Demonstration) -> None:
    """Drop every archive, and let none be finished that is being made.

    Somebody was erased: no copy that names them may stay.
    """
    rows = Archive.objects.of(demonstration)
    drop(rows.made())
    rows.going().update(state=State.FAILED, why_not=WhyNot.ERASED)
