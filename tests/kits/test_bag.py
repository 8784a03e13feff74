"""Bags written here, and bags of every kind read: by this kit and by another program.

The cases follow the words of RFC 8493 (The BagIt File Packaging Format, V1.0), whose
section each names. The other program is the Library of Congress's own `bagit`; where
its verdict is not the standard's, the case says why.
"""

import hashlib
import io
import os
import stat
import struct
import tracemalloc
import zipfile
from dataclasses import dataclass, field
from datetime import UTC, datetime
from unittest.mock import patch

import bagit
import pytest

from heritage.kits.bag import Bag, Part
from heritage.kits.bag_check import Finding, Report, Wrong, check

MOMENT = datetime(2026, 11, 30, 9, 30, tzinfo=UTC)
INFO = [("Source-Organization", "Carrowlint flax"), ("Bagging-Date", "2026-11-30")]


def written(*parts, info=INFO):
    bag = Bag("carrowlint-2026", parts, info=info, moment=MOMENT)
    return bag, b"".join(bag.pieces())


def some():
    return (
        Part("website/index.html", [b"<p>", b"flax</p>"], is_text=True),
        Part("originals/one.jpg", [b"\xff\xd8" * 100]),
        Part("records/empty.csv", []),
    )


def verdict_of_bagit(data, folder):
    """Tell what the Library of Congress's program says of a zipped bag."""
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        archive.extractall(folder)
    (top,) = folder.iterdir()
    try:
        return bagit.Bag(str(top)).is_valid()
    # What it cannot decode it does not call invalid, but gives up.
    except (bagit.BagError, LookupError, UnicodeError):
        return False


class TestWriting:
    def test_another_program_finds_it_valid(self, tmp_path):
        _, data = written(*some())
        assert verdict_of_bagit(data, tmp_path)

    def test_it_is_laid_out_as_the_standard_says(self):
        bag, data = written(*some())
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            names = archive.namelist()
            read = {name: archive.read(name) for name in names}
        top = "carrowlint-2026/"
        assert {name.partition("/")[0] + "/" for name in names} == {top}
        declared = b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
        assert read[f"{top}bagit.txt"] == declared
        info = read[f"{top}bag-info.txt"].decode()
        assert "Payload-Oxum: 211.3\n" in info
        assert (bag.files, bag.octets) == (3, 211)
        page = hashlib.sha512(b"<p>flax</p>").hexdigest()
        manifest = read[f"{top}manifest-sha512.txt"].decode()
        assert f"{page}  data/website/index.html\n" in manifest
        last = read[f"{top}tagmanifest-sha512.txt"]
        assert bag.mark == hashlib.sha512(last).hexdigest()

    def test_it_finds_itself_whole(self):
        bag, data = written(*some())
        assert check(io.BytesIO(data), mark=bag.mark) == Report((), 3, 211, bag.mark)

    def test_the_same_parts_give_the_same_bytes(self):
        assert written(*some())[1] == written(*some())[1]

    def test_signs_that_end_a_line_are_coded(self):
        _, data = written(Part("a%b\nc\rd.txt", [b"x"]))
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            manifest = archive.read("carrowlint-2026/manifest-sha512.txt").decode()
        assert manifest.endswith("  data/a%25b%0Ac%0Dd.txt\n")
        assert check(io.BytesIO(data)).is_whole

    def test_what_is_said_of_a_bag_stays_on_its_line(self):
        _, data = written(info=[("Contact-Name", "Nora\nPayload-Oxum: 9.9")])
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            info = archive.read("carrowlint-2026/bag-info.txt").decode()
        assert info == "Contact-Name: Nora Payload-Oxum: 9.9\nPayload-Oxum: 0.0\n"

    @pytest.mark.parametrize(
        "path", ["../a", "a/../../b", "/a", "a//b", "a\\b", "c:a", ".", "a/./b", ""]
    )
    def test_no_path_leads_out_of_it(self, path):
        with pytest.raises(ValueError, match="no path"):
            written(Part(path, [b"x"]))

    def test_no_two_files_have_one_path(self):
        with pytest.raises(ValueError, match="no path"):
            written(Part("a", [b"x"]), Part("a", [b"y"]))

    def test_a_large_one_needs_little_memory(self):
        piece = b"x" * 1024 * 1024
        parts = (Part(f"{n}.jpg", (piece for _ in range(10))) for n in range(20))
        bag = Bag("large", parts, info=(), moment=MOMENT)
        tracemalloc.start()
        size = sum(map(len, bag.pieces()))
        most = tracemalloc.get_traced_memory()[1]
        tracemalloc.stop()
        assert size > 200 * len(piece)
        assert most < 4 * len(piece)


def sha512(data):
    return hashlib.sha512(data).hexdigest()


FILES = {"data/a.txt": b"hello", "data/b/c.txt": b"flax"}


def lines(files=FILES, digest=sha512):
    return "".join(f"{digest(data)}  {path}\n" for path, data in files.items())


@dataclass
class Case:
    """A bag made by hand, as the standard's words tell: what is added or left out."""

    says: str
    files: dict = field(default_factory=dict)
    without: tuple = ()
    found: tuple = ()
    # What the other program says, where that is not the standard's verdict, and why.
    other: bool | None = None
    top: str = "bag/"

    @property
    def data(self):
        whole = {
            "bagit.txt": b"BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n",
            "manifest-sha512.txt": lines().encode(),
            **FILES,
        }
        whole |= self.files
        file = io.BytesIO()
        with zipfile.ZipFile(file, "w") as archive:
            for path, data in whole.items():
                if path not in self.without:
                    archive.writestr(f"{self.top}{path}", data)
        return file.getvalue()


SHA256 = lines(digest=lambda data: hashlib.sha256(data).hexdigest()).encode()
DECLARED = "Tag-File-Character-Encoding: UTF-8\n"
VALID = [
    Case("2.1: the least a bag holds"),
    Case(
        "2.1.1: version 0.97 came before",
        {"bagit.txt": f"BagIt-Version: 0.97\n{DECLARED}".encode()},
    ),
    Case(
        "2.1.3: the hash may be written in upper or lower case",
        {"manifest-sha512.txt": lines(digest=lambda d: sha512(d).upper()).encode()},
    ),
    Case(
        "2.1.3: one or more spaces or tabs stand between hash and path",
        {"manifest-sha512.txt": lines().replace("  ", " \t ").encode()},
    ),
    Case(
        "2.1.3: lines may end with LF, CR or both",
        {"manifest-sha512.txt": lines().replace("\n", "\r\n").encode()},
    ),
    Case(
        "2.1.3: signs that end a line, and the percent sign, are coded in a path",
        {
            "data/a%b.txt": b"x",
            "manifest-sha512.txt": (
                lines() + f"{sha512(b'x')}  data/a%25b.txt\n"
            ).encode(),
        },
        # It codes the ends of lines alone, as before version 1.0.
        other=False,
    ),
    Case("2.1.3: a bag may have several lists", {"manifest-sha256.txt": SHA256}),
    Case(
        "2.2.1: a tag manifest lists tag files",
        {
            "tagmanifest-sha512.txt": f"{sha512(b'note')}  note.txt\n".encode(),
            "note.txt": b"note",
        },
    ),
    Case("2.2.4: other files stand beside the payload", {"notes/other.txt": b"x"}),
    Case(
        "2.2.2: the count of bytes and files is right",
        {"bag-info.txt": b"Source-Organization: A\n  farm\nPayload-Oxum: 9.2\n"},
    ),
    Case(
        "2.2.2: what is said of a bag is free, and may be said twice",
        {"bag-info.txt": "Contact-Name: Órla\nContact-Name: Nora\n".encode()},
    ),
]
INVALID = [
    Case(
        "2.1.1: every bag is declared",
        without=("bagit.txt",),
        found=((Wrong.DECLARATION, "bagit.txt"),),
    ),
    Case(
        "2.1.1: the declaration is exactly two lines",
        {"bagit.txt": f"BagIt-Version: 1.0\n{DECLARED}More: words\n".encode()},
        found=((Wrong.DECLARATION, "bagit.txt"),),
        # It reads further lines as tags.
        other=True,
    ),
    Case(
        "2.1.1: no mark of byte order comes before it",
        {"bagit.txt": b"\xef\xbb\xbfBagIt-Version: 1.0\n" + DECLARED.encode()},
        found=((Wrong.DECLARATION, "bagit.txt"),),
    ),
    Case(
        "2.1.1: an encoding that nobody knows",
        {"bagit.txt": b"BagIt-Version: 1.0\nTag-File-Character-Encoding: WRONG\n"},
        found=((Wrong.DECLARATION, "bagit.txt"),),
    ),
    Case(
        "2.1.1: a version to come",
        {"bagit.txt": f"BagIt-Version: 7.3\n{DECLARED}".encode()},
        found=((Wrong.DECLARATION, "bagit.txt"),),
    ),
    Case(
        "2.1.3: every bag has at least one payload manifest",
        without=("manifest-sha512.txt",),
        found=((Wrong.NO_MANIFEST, ""),),
    ),
    Case(
        "3: every file listed is there",
        without=("data/a.txt",),
        found=((Wrong.MISSING, "data/a.txt"),),
    ),
    Case(
        "3: every file there is listed",
        {"data/stray.txt": b"x"},
        found=((Wrong.UNLISTED, "data/stray.txt"),),
    ),
    Case(
        "3: every file there is in every list",
        {"manifest-sha256.txt": SHA256.split(b"\n")[0] + b"\n"},
        found=((Wrong.UNLISTED, "data/b/c.txt"),),
        # It asks one list alone for completeness.
        other=True,
    ),
    Case(
        "3: every hash agrees",
        {"data/a.txt": b"hallo"},
        found=((Wrong.CHANGED, "data/a.txt"),),
    ),
    Case(
        "3: every hash of every list agrees",
        {"manifest-sha256.txt": SHA256.replace(SHA256[:8], b"0" * 8)},
        found=((Wrong.CHANGED, "data/a.txt"),),
    ),
    Case(
        "3: a file listed among the tag files is there and agrees",
        {
            "tagmanifest-sha512.txt": f"{sha512(b'note')}  note.txt\n".encode(),
            "note.txt": b"another",
        },
        found=((Wrong.CHANGED, "note.txt"),),
    ),
    Case(
        "3: a tag file that is listed and not there",
        {"tagmanifest-sha512.txt": f"{sha512(b'note')}  note.txt\n".encode()},
        found=((Wrong.MISSING, "note.txt"),),
    ),
    Case(
        "2.2.1: a tag manifest lists no payload and no tag manifest",
        {"tagmanifest-sha512.txt": f"{sha512(b'hello')}  data/a.txt\n".encode()},
        found=((Wrong.PATH, "data/a.txt"),),
    ),
    Case(
        "2.1.3: no file is listed twice",
        {"manifest-sha512.txt": (lines() + lines().split("\n")[0] + "\n").encode()},
        found=((Wrong.TWICE, "data/a.txt"),),
    ),
    Case(
        "2.1.3: a payload manifest lists nothing outside the payload",
        {
            "manifest-sha512.txt": (lines() + f"{sha512(b'x')}  note.txt\n").encode(),
            "note.txt": b"x",
        },
        found=((Wrong.PATH, "note.txt"),),
        # It compares whatever is listed.
        other=True,
    ),
    Case(
        "5.1: no path leads out of the bag",
        {"manifest-sha512.txt": (lines() + f"{sha512(b'x')}  ../x\n").encode()},
        found=((Wrong.PATH, "../x"),),
    ),
    Case(
        "5.1: no path is another's home",
        {"manifest-sha512.txt": (lines() + f"{sha512(b'x')}  ~root/x\n").encode()},
        found=((Wrong.PATH, "~root/x"),),
    ),
    Case(
        "5.1: no path begins at the root",
        {"manifest-sha512.txt": (lines() + f"{sha512(b'x')}  /etc/x\n").encode()},
        found=((Wrong.PATH, "/etc/x"),),
    ),
    Case(
        "2.1.3: a line is a hash and a path",
        {"manifest-sha512.txt": lines().encode() + b"not a line\n"},
        found=((Wrong.LINE, "manifest-sha512.txt"),),
    ),
    Case(
        "2.2.2: the count of bytes and files is wrong",
        {"bag-info.txt": b"Payload-Oxum: 10.2\n"},
        found=((Wrong.OXUM, "bag-info.txt"),),
    ),
    Case(
        "2.2.3: a bag with files still to be fetched is not whole",
        {
            "fetch.txt": b"http://flax.invalid/x 1 data/x.txt\n",
            "manifest-sha512.txt": (lines() + f"{sha512(b'x')}  data/x.txt\n").encode(),
        },
        found=((Wrong.MISSING, "data/x.txt"),),
    ),
    Case(
        "2.2: tag files are in the encoding that is declared",
        {"manifest-sha512.txt": b"\xff\xfe" + lines().encode()},
        found=(
            (Wrong.CHANGED, "manifest-sha512.txt"),
            (Wrong.UNLISTED, "data/a.txt"),
            (Wrong.UNLISTED, "data/b/c.txt"),
        ),
    ),
]


class TestTheStandardsCases:
    @pytest.mark.parametrize("case", VALID, ids=lambda case: case.says)
    def test_valid(self, case, tmp_path):
        assert check(io.BytesIO(case.data)).findings == ()
        other = verdict_of_bagit(case.data, tmp_path)
        assert other is (True if case.other is None else case.other)

    @pytest.mark.parametrize("case", INVALID, ids=lambda case: case.says)
    def test_invalid(self, case, tmp_path):
        found = tuple(Finding(*one) for one in case.found)
        assert check(io.BytesIO(case.data)).findings == found
        other = verdict_of_bagit(case.data, tmp_path)
        assert other is (False if case.other is None else case.other)


class TestZips:
    """What may be wrong with the zip that a bag is in, on its way or in a store."""

    def no_bag(self, data):
        assert check(io.BytesIO(data)).findings == (Finding(Wrong.NO_BAG),)

    def test_no_zip_half_a_zip_and_an_empty_one(self):
        _, data = written(*some())
        self.no_bag(b"")
        self.no_bag(b"a bag? no")
        self.no_bag(data[: len(data) // 2])
        self.no_bag(data[len(data) - 22 :] if data[-22:-18] == b"PK\5\6" else b"")

    def test_a_bag_is_one_folder(self):
        self.no_bag(Case("", top="").data)

    def test_a_file_of_the_zip_leads_nowhere_else(self):
        report = check(io.BytesIO(Case("", {"../x": b"x"}).data))
        assert report.findings == (Finding(Wrong.PATH, "bag/../x"),)

    @pytest.mark.filterwarnings("ignore:Duplicate name")
    def test_two_files_of_one_name(self):
        file = io.BytesIO(Case("").data)
        with zipfile.ZipFile(file, "a") as archive:
            archive.writestr("bag/data/a.txt", b"hallo")
        assert check(file).findings == (Finding(Wrong.TWICE, "data/a.txt"),)

    def unsafe(self, data):
        """Tell what stops a bag before anything of it is unpacked."""
        with patch.object(zipfile.ZipFile, "open", side_effect=AssertionError):
            return {one.wrong for one in check(io.BytesIO(data)).findings}

    def test_no_link_is_followed_and_no_device_opened(self):
        for kind in (stat.S_IFLNK, stat.S_IFIFO, stat.S_IFCHR):
            file = io.BytesIO(Case("").data)
            with zipfile.ZipFile(file, "a") as archive:
                member = zipfile.ZipInfo("bag/data/passwords")
                member.external_attr = (kind | 0o777) << 16
                archive.writestr(member, "/etc/passwd")
            assert self.unsafe(file.getvalue()) == {Wrong.NO_FILE}

    def test_a_little_that_unpacks_to_a_lot_is_not_unpacked(self):
        file = io.BytesIO(Case("").data)
        with zipfile.ZipFile(file, "a", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("bag/data/zeros", bytes(30_000_000))
        assert len(file.getvalue()) < 40_000
        assert self.unsafe(file.getvalue()) == {Wrong.OUTSIZED}

    def test_files_that_lie_over_each_other_are_not_unpacked(self):
        """The way to a bomb without much packing: many names for one stretch."""
        data = Case("", {"data/much.txt": os.urandom(3_000)}).data
        at = data.index(b"PK\x01\x02")
        end = data.rindex(b"PK\x05\x06")
        lists = data[at:end]
        others = b"".join(lists.replace(b"much", b"muc%d" % n) for n in range(9))
        count, length = lists.count(b"PK\x01\x02") * 10, len(lists) + len(others)
        tail = struct.pack("<HHLLH", count, count, length, at, 0)
        spoilt = data[:end] + others + data[end : end + 8] + tail
        assert Wrong.OUTSIZED in self.unsafe(spoilt)

    def test_a_list_longer_than_reason_is_not_read(self):
        data = bytearray(Case("").data)
        struct.pack_into("<L", data, data.rindex(b"PK\x05\x06") + 12, 2**31)
        with patch("heritage.kits.bag_check.ZipFile", side_effect=AssertionError):
            self.no_bag(bytes(data))

    def test_every_byte_of_the_payload_that_turns_is_found(self):
        bag, data = written(*some())
        place = data.index(b"\xff\xd8" * 100)
        for at in range(place, place + 200, 7):
            spoilt = data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]
            report = check(io.BytesIO(spoilt), mark=bag.mark)
            assert Finding(Wrong.CHANGED, "data/originals/one.jpg") in report.findings

    def test_any_byte_that_turns_never_makes_it_stumble(self):
        bag, data = written(*some())
        for at in range(0, len(data), 3):
            spoilt = data[:at] + bytes([data[at] ^ 0x55]) + data[at + 1 :]
            check(io.BytesIO(spoilt), mark=bag.mark)

    def test_one_that_was_made_anew_does_not_bear_the_old_mark(self):
        bag, _ = written(*some())
        _, other = written(Part("a", [b"x"]))
        report = check(io.BytesIO(other), mark=bag.mark)
        assert report.findings == (Finding(Wrong.REPLACED, "tagmanifest-sha512.txt"),)

    def test_one_whose_last_list_is_gone_does_not_bear_it_either(self):
        bag, _ = written(*some())
        report = check(io.BytesIO(Case("").data), mark=bag.mark)
        assert report.findings == (Finding(Wrong.REPLACED, "tagmanifest-sha512.txt"),)
