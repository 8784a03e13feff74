"""What lies in an archive: whole by another program, and nothing that must not go."""

import csv
import io
import json
import re
import tempfile
import zipfile
from datetime import date, timedelta
from html.parser import HTMLParser
from pathlib import Path, PurePosixPath
from unittest.mock import patch

import bagit
import pyexiv2
import pytest
from defusedxml.ElementTree import fromstring
from django.core.files.base import ContentFile
from django.test import TestCase

from heritage.archive import services
from heritage.archive.models import Archive
from heritage.common import clock
from heritage.common.making import State
from heritage.kits.bag_check import check
from heritage.pictures.models import Shown
from heritage.privacy.everything.selectors import tables
from heritage.season.models import Stage, Tool
from tests.factories import (
    NOW,
    make_entry,
    make_gathering,
    make_organiser,
    make_picture,
    make_volunteer,
)
from tests.people.world import make_world
from tests.pictures.photographs import photograph
from tests.sheets_once import sheets_drawn_once

WHAT = '<script>alert("Pulling & tying")</script>'
# The fifteen elements of the Dublin Core Metadata Element Set, version 1.1.
ELEMENTS = {
    "contributor", "coverage", "creator", "date", "description", "format",
    "identifier", "language", "publisher", "relation", "rights", "source", "subject",
    "title", "type",
}  # fmt: skip


def made(home, by):
    """Make an archive of a demonstration as its page does."""
    with (
        patch.object(clock, "now", lambda: NOW),
        TestCase.captureOnCommitCallbacks(execute=True),
        sheets_drawn_once(),
    ):
        services.ask(demonstration=home, by=by, now=NOW)
    archive = Archive.objects.of(home).newest_first().first()
    assert archive.state == State.MADE, archive.get_why_not_display()
    return archive


class Read(HTMLParser):
    """A page as a browser would follow it: its addresses, its text, its tags."""

    def __init__(self, html):
        super().__init__()
        self.addresses, self.tags, self.words, self.alts = [], set(), [], []
        self.feed(html)

    def handle_starttag(self, tag, attrs):
        said = dict(attrs)
        self.tags.add(tag)
        self.addresses += [said[key] for key in ("href", "src") if key in said]
        if tag == "img":
            self.alts.append(said["alt"])

    def handle_data(self, data):
        self.words.append(data)

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


@pytest.mark.any_database
class ArchiveTests(TestCase):
    """One archive, since it takes a while to make, looked at from every side."""

    @classmethod
    def setUpTestData(cls):
        cls.world, cls.elsewhere = make_world(), make_world()
        cls.home = cls.world.demonstration
        cls.by = cls.world.users["organiser"]
        here = {"demonstration": cls.home}
        cls.private = make_volunteer(name="Wilhelmina Quirke", **here)
        gathering = make_gathering(title="Pulling evening", **here)
        make_entry(gathering=gathering, volunteer=cls.private, beets=77)
        original = photograph()
        cls.shown = make_picture(
            caption=WHAT,
            alt_text='Two people & "beets"',
            stage=Stage.PULLING,
            tool=Tool.BAND,
            original=ContentFile(original, name="original"),
            **here,
        )
        cls.unasked = make_picture(
            caption="Unasked at the dam",
            shown=Shown.UNASKED,
            is_published=False,
            stage=Stage.RETTING,
            **here,
        )
        cls.closed = make_picture(
            caption="Closed for good", is_published=False, hidden_at=NOW, **here
        )
        cls.original = original
        cls.archive = made(cls.home, cls.by)
        with cls.archive.file.open("rb") as stored:
            cls.data = stored.read()
        cls.top = f"{cls.home.slug}-2026-08-12/"
        cls.names = {
            name.removeprefix(f"{cls.top}data/")
            for name in zipfile.ZipFile(io.BytesIO(cls.data)).namelist()
            if name.startswith(f"{cls.top}data/")
        }

    @property
    def zip(self):
        return zipfile.ZipFile(io.BytesIO(self.data))

    def read(self, path):
        return self.zip.read(f"{self.top}data/{path}")

    def page(self, name):
        return Read(self.read(f"website/{name}").decode())

    def test_the_library_of_congress_finds_it_whole(self):
        folder = Path(self.enterContext(tempfile.TemporaryDirectory()))
        self.zip.extractall(folder)
        bag = bagit.Bag(f"{folder}/{self.top}")
        bag.validate()
        assert bag.algorithms == ["sha512"]
        assert bag.info["Source-Organization"] == self.home.name
        assert bag.info["Bagging-Date"] == "2026-08-12"
        assert bag.version_info == (1, 0)

    def test_it_finds_out_when_a_byte_is_changed(self):
        folder = Path(self.enterContext(tempfile.TemporaryDirectory()))
        self.zip.extractall(folder)
        name = next(name for name in sorted(self.names) if "originals/" in name)
        path = folder / self.top / "data" / name
        path.write_bytes(path.read_bytes()[:-1] + b"x")
        assert not bagit.Bag(f"{folder}/{self.top}").is_valid()

    def test_the_row_says_what_was_made_and_it_was_read_through(self):
        archive = self.archive
        assert (archive.done, archive.total) == (3, 3)
        assert archive.octets == len(self.data)
        assert check(io.BytesIO(self.data), mark=archive.mark).is_whole
        assert archive.is_whole
        assert archive.missing == 0

    def test_names_are_safe_on_every_system(self):
        for name in self.names:
            assert re.fullmatch(r"[a-z0-9./-]+", name), name
            assert all(len(step) < 120 for step in PurePosixPath(name).parts)
        assert len({name.lower() for name in self.names}) == len(self.names)

    def test_every_original_is_there_as_it_came(self):
        kept = [name for name in self.names if name.startswith("organiser-only/orig")]
        assert len(kept) == 3
        (name,) = (name for name in kept if f"-{self.shown.pk}." in name)
        assert self.read(name) == self.original

    def test_what_an_erasure_closed_is_in_neither_part(self):
        assert not any(f"-{self.closed.pk}." in name for name in self.names)
        dublin_core = self.read("organiser-only/records/pictures-dublin-core.xml")
        assert b"Closed for good" not in dublin_core

    def test_every_table_is_there_as_csv_and_json_with_the_same_rows(self):
        beside = {"archive-archive.csv", "printing-printing.csv"}
        given = [one for one in tables(self.home) if one.name not in beside]
        assert len(given) > 40
        for table in given:
            name = table.name.removesuffix(".csv")
            text = self.read(f"organiser-only/records/csv/{table.name}").decode()
            rows = list(csv.DictReader(io.StringIO(text.removeprefix("\ufeff"))))
            told = json.loads(self.read(f"organiser-only/records/json/{name}.json"))
            assert len(rows) == len(told) == len(list(table.rows())), name
            heads = [column.name for column in table.columns]
            assert all(list(row) == heads for row in told)

    def test_tally_readings_and_lots_are_among_them(self):
        csv_files = "organiser-only/records/csv/"
        assert b"77" in self.read(f"{csv_files}tally-entry.csv")
        for name in ("dam-reading", "lots-lot", "lots-move", "briefings-briefing"):
            assert len(self.read(f"{csv_files}{name}.csv").splitlines()) > 1, name
        assert (
            "Wilhelmina Quirke" in self.read("organiser-only/tally/tally.csv").decode()
        )

    def test_nobody_elses_rows_no_health_notes_and_no_incidents(self):
        words = b"".join(self.read(name) for name in self.names if "records" in name)
        strangers = self.elsewhere.rows["volunteer"]
        assert strangers.email not in ("", None)
        assert strangers.name.encode() not in words
        for apart in ("healthnote", "incidents-", "evidence", "witness"):
            assert not any(apart in name for name in self.names), apart

    def test_private_addresses_stay_private(self):
        words = b"".join(self.read(name) for name in self.names if "records" in name)
        for row in ("volunteer", "invitation", "picture", "archive"):
            key = getattr(self.world.rows[row], "key", None)
            key = key or self.world.rows[row].calendar_key
            assert key.encode() not in words

    def test_dublin_core_describes_each_picture(self):
        text = self.read("organiser-only/records/pictures-dublin-core.xml")
        pictures = fromstring(text)
        dc = "{http://purl.org/dc/elements/1.1/}"
        assert len(pictures) == 3
        assert {one.tag.removeprefix(dc) for row in pictures for one in row} < ELEMENTS
        (row,) = (row for row in pictures if row.findtext(f"{dc}title") == WHAT)
        assert row.findtext(f"{dc}creator") == "Orla Fenn"
        assert row.findtext(f"{dc}date") == "2026-08-11"
        assert row.findtext(f"{dc}type") == "StillImage"
        subjects = [one.text for one in row.findall(f"{dc}subject")]
        assert subjects == ["pulling", "rush band", "flax"]
        rights = [one.text for one in row.findall(f"{dc}rights")]
        assert rights[1] == "https://creativecommons.org/licenses/by/4.0/"
        path = row.findtext(f"{dc}identifier")
        assert self.read(f"organiser-only/{path}") == self.original

    def test_sheets_and_briefings_are_pdf(self):
        version = self.world.rows["version"]
        named = f"briefing-{version.briefing_id}-version-{version.number}"
        for name in (named, "risk-assessment", "emergency", "statements"):
            assert self.read(f"organiser-only/sheets/{name}.pdf").startswith(b"%PDF")
        assert any("dam-log-" in name for name in self.names)

    def pages(self):
        return [name for name in self.names if re.fullmatch(r"website/.*\.html", name)]

    def test_it_tells_every_stage_and_what_came_of_it(self):
        first = self.page("index.html")
        assert self.home.name in first.text
        assert "beets tied" in first.text
        assert "Pulling evening" in first.text
        for stage in Stage:
            page = self.page(f"{stage.value.replace('_', '-')}.html")
            assert "How it's done" in page.text

    def test_it_tells_where_the_flax_went_and_what_was_made(self):
        crop = self.page("crop.html").text
        for words in (
            "Lot 1", "How it moved", "On the grass", "How dry it was",
            "Broken, scutched, hackled", "Hackled line", "our judgement of hand work",
        ):  # fmt: skip
            assert words in crop
        move = self.world.rows["move"]
        assert f"{move.get_source_display()} {move.get_target_display()}" in crop
        told = [one for one in self.page("index.html").addresses if ".html" in one]
        stages = [f"{stage.value.replace('_', '-')}.html" for stage in Stage]
        assert told == ["crop.html", *stages]

    def test_every_address_on_it_leads_to_a_file_in_it(self):
        for name in self.pages():
            for address in Read(self.read(name).decode()).addresses:
                assert f"website/{address}" in self.names, address

    def test_it_needs_no_program_and_asks_nobody(self):
        for name in self.pages():
            html = self.read(name).decode()
            assert "script" not in Read(html).tags
            assert not re.search(r'(src|href)="(https?:)?//', html)
        look = self.read("website/look.css").decode()
        assert "url(" not in look
        assert "@import" not in look

    def test_what_somebody_typed_stays_words(self):
        page = self.page("pulling.html")
        assert WHAT in page.text
        assert 'Two people & "beets"' in page.alts

    def test_it_shows_only_what_visitors_see(self):
        words = "".join(self.read(name).decode() for name in self.pages())
        for private in ("Unasked at the dam", "Closed for good", "Wilhelmina Quirke"):
            assert private not in words
        shown = {name for name in self.names if name.startswith("website/pictures/")}
        pictures = {self.shown.pk, self.world.rows["picture"].pk}
        assert {int(re.search(r"-(\d+)\.jpg", name)[1]) for name in shown} == pictures
        assert set(self.archive.shown) == pictures

    def test_its_copies_carry_their_words_and_no_place(self):
        (name,) = (
            n
            for n in self.names
            if n.startswith("website/pictures/large/") and f"-{self.shown.pk}." in n
        )
        image = pyexiv2.ImageData(self.read(name))
        xmp, exif = image.read_xmp(), image.read_exif()
        image.close()
        assert xmp["Xmp.dc.creator"] == ["Orla Fenn"]
        assert exif == {}

    def test_the_cautions_stand_where_the_work_is_told(self):
        retting = self.page("retting.html").text
        assert "Don't let the water out to a ditch, a drain or a river." in retting
        assert "isn't training" in retting or "isn&#x27;t training" in retting
        assert "Deep water, machines" in self.page("index.html").text

    def test_many_pictures_are_told_in_pages(self):
        for number in range(121):
            make_picture(
                demonstration=self.home,
                caption=f"Many {number}",
                stage=Stage.STOOKING,
                taken_on=date(2026, 8, 1) + timedelta(days=number % 9),
            )
        archive = made(self.home, self.by)
        with archive.file.open("rb") as stored:
            names = zipfile.ZipFile(stored).namelist()
            told = [name for name in names if "website/stooking" in name]
            assert len(told) == 3
            pages = [Read(zipfile.ZipFile(stored).read(name).decode()) for name in told]
        assert [len(page.alts) for page in pages] == [60, 60, 1]
        assert "stooking-3.html" in pages[0].addresses


@pytest.mark.any_database
class MissingTests(TestCase):
    def test_a_picture_whose_file_is_lost_is_told_of_and_the_rest_goes_on(self):
        nora = make_organiser()
        home = nora.demonstration
        lost, half = make_picture(demonstration=home), make_picture(demonstration=home)
        lost.original.storage.delete(lost.original.name)
        half.small.storage.delete(half.small.name)
        archive = made(home, nora.user)
        assert archive.missing == 2
        assert archive.shown == [lost.pk]
        assert archive.is_whole
