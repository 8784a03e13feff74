"""Files made to do harm: each gets a sentence, and leaves nothing in the store."""

import io
import struct
import subprocess
import sys
import zipfile
import zlib
from pathlib import Path

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse

from heritage.common.photographs import WHY_NOT
from heritage.kits.imaging import WhyRefused
from heritage.pictures.models import Picture, Shown
from heritage.season.models import Stage
from tests.factories import make_organiser
from tests.pictures.photographs import photograph

HERE = Path(__file__).resolve().parents[2]
# What one picture may take beyond the program itself: judgement. [MB]
MOST_MB = 600


def chunk(kind, body):
    check = zlib.crc32(kind + body)
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", check)


def png(width, height, *chunks):
    head = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    inside = b"".join(chunks) or chunk(b"IDAT", zlib.compress(bytes(1000)))
    begin = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head)
    return begin + inside + chunk(b"IEND", b"")


def zipped():
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr("index.html", "<script>alert(1)</script>")
    return made.getvalue()


def segment(marker, body):
    return struct.pack(">BBH", 0xFF, marker, len(body) + 2) + body


def with_segments(*segments):
    """Put segments behind a photograph's first two bytes."""
    data = photograph()
    return data[:2] + b"".join(segments) + data[2:]


SVG = b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><rect/></svg>'
XXE = (
    b"http://ns.adobe.com/xap/1.0/\x00<!DOCTYPE x [<!ENTITY a SYSTEM 'file:///etc/"
    b"passwd'>]><x>&a;</x>"
)
BILLION = b"http://ns.adobe.com/xap/1.0/\x00" + (
    b"<!DOCTYPE x [<!ENTITY a 'aaaaaaaaaa'>"
    + b"".join(
        b"<!ENTITY %c '%s'>" % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9)
    )
    + b"]><x>&j;</x>"
)
# A name, its bytes, and why it is refused.
REFUSED = {
    "page.svg": (SVG, WhyRefused.NO_PHOTOGRAPH),
    "page.jpg": (SVG, WhyRefused.NO_PHOTOGRAPH),
    "page.html.jpg": (b"<html><script>", WhyRefused.NO_PHOTOGRAPH),
    "film.gif": (b"GIF89a" + bytes(40), WhyRefused.NO_PHOTOGRAPH),
    "paper.jpg": (b"%PDF-1.7 " + photograph(), WhyRefused.NO_PHOTOGRAPH),
    "parcel.jpg": (zipped(), WhyRefused.NO_PHOTOGRAPH),
    "wide-bomb.png": (png(60_000, 60_000), WhyRefused.TOO_MANY_DOTS),
    "tall-bomb.png": (png(1, 2**31 - 1), WhyRefused.TOO_MANY_DOTS),
    "line.png": (png(40_000_000, 1), WhyRefused.TOO_SMALL),
    "hollow.png": (png(6000, 6000), WhyRefused.DAMAGED),
    "words-bomb.png": (
        png(
            64,
            64,
            *[chunk(b"zTXt", b"a\0\0" + zlib.compress(bytes(2**20)))] * 80,
            chunk(b"IDAT", zlib.compress(bytes(64 * 193))),
        ),
        WhyRefused.DAMAGED,
    ),
    "half.jpg": (photograph()[:2000], WhyRefused.DAMAGED),
    "half.png": (photograph("PNG")[:600], WhyRefused.DAMAGED),
    "half.webp": (photograph("WEBP")[:600], WhyRefused.DAMAGED),
    "half.heic": (photograph("HEIF")[:600], WhyRefused.DAMAGED),
    "head.heic": (b"\0\0\0\x18ftypheic" + bytes(12), WhyRefused.DAMAGED),
    "head.jpg": (b"\xff\xd8\xff\xe0", WhyRefused.DAMAGED),
}
# Pictures all the same: what was hidden in them does not come out.
HARMLESS = {
    "page-behind.jpg": photograph(shade=10) + SVG,
    "parcel-behind.jpg": photograph(shade=20) + zipped(),
    "foreign-words.jpg": with_segments(segment(0xE1, XXE)),
    "many-words.jpg": with_segments(segment(0xE1, BILLION)),
    "script.jpg": with_segments(segment(0xFE, b"<script>alert(1)</script>")),
    "wrong-ending.png": photograph(shade=30),
    "../../etc/passwd.jpg": photograph(shade=40),
    "C:\\windows\\a\u202egpj.exe": photograph(shade=50),
    "a" * 300 + ".jpg": photograph(shade=60),
    ".jpg": photograph(shade=70),
}


def stored():
    """Return every file in the store."""

    def below(folder):
        folders, files = default_storage.listdir(folder)
        yield from (f"{folder}/{file}" for file in files)
        for one in folders:
            yield from below(f"{folder}/{one}")

    return set(below(".")) if default_storage.exists(".") else set()


@pytest.mark.any_database
class HostileTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.organiser = make_organiser()
        cls.here = cls.organiser.demonstration

    def setUp(self):
        self.client.force_login(self.organiser.user)
        self.before = stored()

    def send(self, name, data):
        url = reverse("pictures:add_many", args=[self.here.slug])
        answers = {
            "stage": Stage.PULLING,
            "credit": "Orla Fenn",
            "licence": "CC-BY-4.0",
            "shown": Shown.UNASKED,
            "photographs": [SimpleUploadedFile(name, data, "image/jpeg")],
        }
        answer = self.client.post(url, answers, headers={"Accept": "application/json"})
        assert answer.status_code == 200, name
        return answer.json()

    def test_each_is_refused_with_its_sentence_and_nothing_is_kept(self):
        for name, (data, why) in REFUSED.items():
            with self.subTest(name):
                said = self.send(name, data)
                words = str(WHY_NOT[why] % {"mb": 25}) if "%" in WHY_NOT[why] else None
                assert said["came"] == "refused"
                assert said["why"] == (words or str(WHY_NOT[why]))
        assert not Picture.objects.exists()
        assert stored() == self.before

    def test_a_picture_with_something_behind_it_is_drawn_anew(self):
        for name, data in HARMLESS.items():
            with self.subTest(name):
                assert self.send(name, data) == {"came": "added", "why": ""}
                picture = Picture.objects.latest("pk")
                for copy in (picture.large, picture.small):
                    with copy.open("rb") as file:
                        kept = file.read()
                    assert kept.startswith(b"\xff\xd8")
                    for hidden in (b"script", b"svg", b"PK\x03", b"ENTITY"):
                        assert hidden not in kept
                paths = [one.name for one in (picture.original, picture.large)]
                assert all(path.startswith(f"{self.here.pk}/") for path in paths)
                assert all(".." not in path for path in paths)
                assert "passwd" not in picture.caption

    def test_what_was_half_sent_is_not_kept(self):
        url = reverse("pictures:add_many", args=[self.here.slug])
        body = (
            b"--x\r\nContent-Disposition: form-data; name=photographs; "
            b'filename="a.jpg"\r\nContent-Type: image/jpeg\r\n\r\n' + photograph()[:900]
        )
        answer = self.client.generic(
            "POST", url, body, content_type="multipart/form-data; boundary=x"
        )
        assert answer.status_code in (200, 400)
        assert not Picture.objects.exists()
        assert stored() == self.before

    def test_the_store_keeps_nothing_where_the_row_is_refused(self):
        assert self.send("one.jpg", photograph())["came"] == "added"
        after = stored()
        assert self.send("two.jpg", photograph())["came"] == "there"
        assert stored() == after


MEASURE = """
import resource, sys
from heritage.kits.imaging import prepare
data = open(sys.argv[1], "rb").read()
before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
made = prepare(data, most_bytes=25 << 20, most_pixels=50_000_000)
grown = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before
print(made.width, made.height, grown // 1024)
"""


@pytest.mark.any_database
@pytest.mark.parametrize(
    ("kind", "mode", "size", "options"),
    [
        ("JPEG", "L", (10_000, 10_000), {"progressive": True}),
        ("PNG", "RGBA", (8_000, 6_250), {"compress_level": 1}),
    ],
)
def test_the_largest_picture_takes_bounded_memory(tmp_path, kind, mode, size, options):
    """A hundred megapixels of JPEG, fifty of PNG: measured in a process of its own."""
    file = tmp_path / "large"
    make = (
        "import sys; from PIL import Image; "
        f"Image.new({mode!r}, {size!r}).save(sys.argv[1], {kind!r}, **{options!r})"
    )
    subprocess.run([sys.executable, "-c", make, file], check=True)  # noqa: S603
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", MEASURE, file],
        check=True,
        capture_output=True,
        text=True,
        cwd=HERE,
    )
    width, height, grown = map(int, done.stdout.split())
    assert max(width, height) == 2048
    assert grown < MOST_MB
