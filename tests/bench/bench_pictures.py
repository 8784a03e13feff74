"""How much memory 500 photographs of 12 megapixels take on their way in.

Run by hand, on a database and a folder of its own that it makes and throws away:
``python -m tests.bench.bench_pictures [PICTURES]``. The photographs are made here, each
about as heavy as a telephone's, and sent to `pictures.many` as Django hands on what a
browser sent: on the disk, a hundred at a time. The promise: within 500 MB at the most,
the program itself counted.

30 November 2026, 500 of 500 photographs of 3.1 MB: 375 MB at the most, reached within
the first hundred and the same to the last; 199 MB of it the program. 0.5 s a picture of
the processor's time, half of it the making smaller; 4.7 s on a machine with ten other
things to do.
"""

import os
import resource
import sys
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from time import perf_counter

PICTURES, AT_ONCE, PROMISED_MB = 500, 100, 500
SIZE, QUALITY = (4000, 3000), 90
NOW = datetime(2026, 11, 30, 9, 0, tzinfo=UTC)


def main() -> None:
    """Make one photograph, send it so many times, no two alike, and say the most."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else PICTURES
    with tempfile.TemporaryDirectory(dir=os.environ.get("BENCH_FOLDER")) as name:
        here = Path(name)
        _site(here)
        photograph = _made_elsewhere(here)
        before, began = _memory(), perf_counter()
        added = _sent(photograph, count)
        took = perf_counter() - began
        print(f"{added} of {count} added, {len(photograph) / 1e6:.1f} MB each")
        print(f"the most memory: {_memory()} MB, {before} MB of it before the first")
        print(f"{took / count:.2f} s a picture")
        assert added == count
        assert _memory() < PROMISED_MB, "more than promised"


def _memory() -> int:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024


def _site(here: Path) -> None:
    os.environ["DATABASE_URL"] = f"sqlite:///{here}/bench.sqlite3"
    os.environ["MEDIA_ROOT"] = str(here / "media")
    os.environ["DJANGO_SETTINGS_MODULE"] = "heritage.settings"
    os.environ["DEBUG"], os.environ["TASKS_IN_WORKER"] = "false", "false"
    os.environ.setdefault("SECRET_KEY", "only-a-bench")

    import django

    django.setup()

    from django.core.management import call_command

    call_command("migrate", verbosity=0)


def _made_elsewhere(here: Path) -> bytes:
    """Make the photograph in another process, whose memory is not counted."""
    if not os.fork():
        from PIL import Image, ImageFilter

        grain = Image.effect_noise(SIZE, 60).filter(ImageFilter.GaussianBlur(1.1))
        sky = Image.linear_gradient("L").resize(SIZE)
        bands = (grain, Image.blend(grain, sky, 0.5), sky)
        Image.merge("RGB", bands).save(here / "one.jpg", quality=QUALITY)
        os._exit(0)
    os.wait()
    return (here / "one.jpg").read_bytes()


def _sent(photograph: bytes, count: int) -> int:
    from heritage.pictures.many.services import Came, add_many
    from tests.factories import make_organiser

    nora, added = make_organiser(), 0
    answers = {
        "stage": "pulling",
        "credit": "Orla Fenn",
        "licence": "CC-BY-4.0",
        "shown": "unasked",
    }
    for first in range(0, count, AT_ONCE):
        outcomes = add_many(
            demonstration=nora.demonstration,
            files=_uploads(photograph, range(first, min(first + AT_ONCE, count))),
            answers=answers,
            by=nora.user,
            now=NOW,
        )
        added += sum(one.came == Came.ADDED for one in outcomes)
        print(f"{first + len(outcomes)}: {_memory()} MB", flush=True)
    return added


def _uploads(photograph: bytes, numbers: range) -> Iterator[object]:
    """Give files on the disk, each with a comment of its own: other bytes, all real."""
    from django.core.files.uploadedfile import TemporaryUploadedFile

    for number in numbers:
        said = number.to_bytes(4, "big")
        file = TemporaryUploadedFile(f"{number}.jpg", "image/jpeg", 0, None)
        file.write(photograph[:2] + b"\xff\xfe\x00\x06" + said + photograph[2:])
        file.seek(0)
        yield file
        file.close()


if __name__ == "__main__":
    main()
