"""How near making an archive comes to copying and hashing the same files.

Run by hand, on a database and a folder of its own that it makes and throws away:
``python -m tests.bench.bench_archive [PICTURES]``. It prints ratios, since seconds say
more of the machine than of the code, and how much memory making it took beyond what
was held before. The promise: 5,000 pictures at no less than half the speed. Run once
beside much other work it was 0.71 by the clock, 0.65 by the processor, and 45 MB more.

An original here is half of what a telephone's 12 megapixels weigh, so the share of
what is not copying is larger than in life. Both ways end with what they wrote on the
disk. Seconds of the processor are printed beside those of the clock, since they stand
even where others use the disk. Give it a folder in ``BENCH_FOLDER`` with 30 GB free.
"""

import hashlib
import os
import resource
import sys
import tempfile
from collections.abc import Callable
from datetime import UTC, date, datetime
from pathlib import Path
from time import perf_counter, process_time
from typing import Any, NamedTuple

PICTURES, ORIGINAL, LARGE, SMALL = 5_000, 1_500_000, 300_000, 45_000
PIECE, ROUNDS = 1024 * 1024, 3
NOW = datetime(2026, 11, 30, 9, 0, tzinfo=UTC)


def main() -> None:
    """Make the pictures, then time the plain way and the archive in turns."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else PICTURES
    with tempfile.TemporaryDirectory(dir=os.environ.get("BENCH_FOLDER")) as name:
        here = Path(name)
        archive = _fill(here, count)
        files = sorted(path for path in (here / "media").rglob("*") if path.is_file())
        octets = sum(path.stat().st_size for path in files)
        print(f"{count:,} pictures, {octets / 1e9:.2f} GB")
        plain, made = [], []
        for _ in range(ROUNDS):
            plain.append(_timed(lambda: _copy_and_hash(files, here / "copy")))
            (here / "copy").unlink()
            before = _memory()
            made.append(_timed(archive))
            grown = _memory() - before
            print(f"plain {plain[-1]}, archive {made[-1]}, {grown} MB more", flush=True)
        for number, name in enumerate(Took._fields):
            ratio = min(one[number] for one in plain) / min(one[number] for one in made)
            print(f"speed against copying and hashing alone, {name}: {ratio:.2f}")


class Took(NamedTuple):
    """How long something took, in seconds."""

    clock: float
    processor: float

    def __str__(self) -> str:
        return f"{self.clock:.1f} s ({self.processor:.1f} s of processor)"


def _timed(run: Callable[[], Any]) -> Took:
    began, worked = perf_counter(), process_time()
    run()
    return Took(perf_counter() - began, process_time() - worked)


def _memory() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def _copy_and_hash(files: list[Path], to: Path) -> None:
    """Copy every file into one, hashing each: the least that anybody could do."""
    with to.open("wb") as out:
        for path in files:
            digest = hashlib.sha512()
            with path.open("rb") as file:
                while piece := file.read(PIECE):
                    digest.update(piece)
                    out.write(piece)
            digest.hexdigest()
        out.flush()
        os.fsync(out.fileno())


def _fill(here: Path, count: int) -> Callable[[], None]:
    """Make a site of so many pictures; return what makes their archive."""
    os.environ["DATABASE_URL"] = f"sqlite:///{here}/bench.sqlite3"
    os.environ["MEDIA_ROOT"] = str(here / "media")
    os.environ["DJANGO_SETTINGS_MODULE"] = "heritage.settings"
    os.environ["DEBUG"], os.environ["TASKS_IN_WORKER"] = "false", "false"
    os.environ.setdefault("SECRET_KEY", "only-a-bench")

    import django

    django.setup()

    from django.core.files.base import ContentFile
    from django.core.management import call_command

    from heritage.archive.models import Archive
    from heritage.archive.services import write
    from heritage.pictures.models import Picture
    from heritage.season.models import Stage
    from tests.factories import make_organiser
    from tests.factories.core import small_jpeg

    call_command("migrate", verbosity=0)
    nora, stages = make_organiser(), list(Stage)
    for number in range(count):
        row = Picture(
            demonstration=nora.demonstration,
            stage=stages[number % len(stages)],
            width=2048,
            height=1365,
            sha256=f"{number:064d}",
            caption=f"Evening {number}, at the work",
            alt_text="Two people bend to pull flax in low light; beets lie in a row.",
            taken_on=date(2026, 8, 1 + number % 30),
            credit="Orla Fenn",
            licence="CC-BY-4.0",
            shown="nobody",
            is_published=True,
            added_at=NOW,
            added_by=nora.user,
        )
        jpeg = small_jpeg(number % 200)
        for field, size in (("original", ORIGINAL), ("large", LARGE), ("small", SMALL)):
            # No real photograph, but as large, and no two alike.
            data = jpeg + os.urandom(size - len(jpeg))
            getattr(row, field).save(f"{field}.jpg", ContentFile(data), save=False)
        row.save()

    def archive() -> None:
        Archive.objects.all().delete()
        for old in (here / "media").rglob("*.zip"):
            old.unlink()
        row = Archive.objects.create(
            demonstration=nora.demonstration,
            asked_at=NOW,
            told_at=NOW,
            asked_by=nora.user,
            total=count,
        )
        assert write(key=row.pk, tell_time=lambda: datetime.now(UTC))
        os.sync()

    return archive


if __name__ == "__main__":
    main()
