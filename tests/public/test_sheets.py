import re
from datetime import date
from io import BytesIO
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp
from django.core.files.base import ContentFile
from django.test import TestCase
from django.urls import reverse
from PIL import Image
from pypdf import PdfReader

from heritage.gatherings.models import Gathering, GatheringStatus
from heritage.pictures.models import Licence
from heritage.public import selectors as public_selectors
from heritage.public import sheets
from heritage.public.process.selectors import fronts, process_page
from heritage.public.process.sheets import (
    process_card,
    process_panel,
    process_sheet,
)
from heritage.public.process.words import process_texts
from heritage.season.models import Stage
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_picture,
    make_station,
    make_user,
)

pytestmark = pytest.mark.any_database

ROOT = Path(__file__).resolve().parents[2]
DAY = date(2026, 8, 12)
NOW_CALLED = "2026-08-12T17:00:00Z"
ADDRESS = "https://carrowlint.example/at/flax/"


def jpeg() -> bytes:
    stream = BytesIO()
    Image.new("RGB", (60, 40), "tan").save(stream, "JPEG")
    return stream.getvalue()


def pages_of(pdf: bytes) -> list[str]:
    reader = PdfReader(BytesIO(pdf), strict=True)
    return [" ".join(page.extract_text().split()) for page in reader.pages]


def pictures_in(pdf: bytes) -> int:
    return sum(len(page.images) for page in PdfReader(BytesIO(pdf)).pages)


class ProcessSheetTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(name="Carrowlint flax")

    def printed(self, stage=Stage.SOWING, *, large_print=False):
        return process_sheet(
            process_page(self.place, stage.value, NOW),
            address=ADDRESS,
            printed_on=DAY,
            large_print=large_print,
        )

    def add_picture(self, data, **fields):
        return make_picture(
            demonstration=self.place,
            stage=Stage.SOWING,
            large=ContentFile(data, name="large.jpg"),
            **fields,
        )

    def test_a_panel_and_a_card_ask_nothing_of_the_season(self):
        self.add_picture(jpeg())
        whole = process_page(self.place, "sowing", NOW)
        with self.assertNumQueries(0):
            front = fronts(self.place, NOW).page("sowing")
        for draw in (process_panel, process_card):
            drawn = draw(front, address=ADDRESS, printed_on=DAY)
            assert drawn == draw(whole, address=ADDRESS, printed_on=DAY)

    def test_the_sheet_says_what_it_is_and_when_it_was_printed(self):
        first = " ".join(pages_of(self.printed()))
        assert f"From seed to fibre: step 1 of {len(Stage)}" in first
        assert "Carrowlint flax" in first
        assert "Printed 12 August 2026" in first

    def test_it_defers_to_local_codes(self):
        text = " ".join(pages_of(self.printed()))
        assert "Local codes, and people licensed for the work, come first." in text

    def test_figures_are_followed_by_their_sources(self):
        text = " ".join(pages_of(self.printed()))
        assert "above 2 °C. Sorlino, Revista" in text
        assert "How it is done, and why: common practice, no source." in text

    def test_a_figure_without_a_source_stands_as_it_is(self):
        text = " ".join(pages_of(self.printed(Stage.LIFTING)))
        assert "We found no printed weight of a wet beet. None" not in text
        assert text.count("We found no printed weight of a wet beet.") == 1

    def test_a_picture_comes_with_its_words_and_credit(self):
        self.add_picture(jpeg(), caption="Sowing by hand.", credit="Orla Fenn")
        pdf = self.printed()
        assert pictures_in(pdf) == 1
        assert "Two people bend to pull flax" in alternatives(pdf)
        text = " ".join(pages_of(pdf))
        assert "Sowing by hand. Orla Fenn, 11 August 2026 (CC-BY-4.0)" in text

    def test_reserved_rights_are_told_in_words(self):
        self.add_picture(jpeg(), licence=Licence.RESERVED)
        assert "(all rights reserved)" in " ".join(pages_of(self.printed()))

    def test_no_picture_no_gap(self):
        assert pictures_in(self.printed()) == 0

    def test_a_picture_that_cannot_be_printed_is_left_out(self):
        self.add_picture(b"no image")
        assert pictures_in(self.printed()) == 0

    def test_a_picture_the_store_has_lost_is_left_out(self):
        picture = self.add_picture(jpeg())
        picture.large.storage.delete(picture.large.name)
        assert pictures_in(self.printed()) == 0

    def test_large_print_takes_more_paper(self):
        small = pages_of(self.printed(Stage.PULLING))
        large = pages_of(self.printed(Stage.PULLING, large_print=True))
        assert len(large) > len(small)


class StonesTests(TestCase):
    """The stones sheet lets nobody lift from the ground; no other sheet asks for it."""

    # Everything kept in words that a sheet, a station or a briefing is made of.
    KEPT = (
        "heritage/public/process_sheets.json",
        "heritage/gatherings/starting_patterns.json",
        "heritage/briefings/starting_hazards.json",
        "heritage/briefings/starting_briefings.json",
        "fixtures/carrowlint.json",
    )
    BY_HAND = re.compile(
        r"by hand, one|hand to hand|(take|takes|pass|add) (the |one |some )?stones? "
        r"|for two, with one caller",
        re.IGNORECASE,
    )

    def test_no_kept_words_ask_to_lift_stones_by_hand(self):
        for name in self.KEPT:
            kept = (ROOT / name).read_text(encoding="utf-8")
            assert not self.BY_HAND.search(kept), (name, self.BY_HAND.search(kept))

    def test_the_sheets_at_the_dam_slide_stones_and_point_to_the_stones_sheet(self):
        place = make_demonstration()
        for stage in (Stage.FILLING_THE_DAM, Stage.LIFTING):
            address = reverse("public:process_sheet", args=[place.slug, stage.value])
            for large in ("", "?large=1"):
                answer = self.client.get(address + large)
                text = " ".join(pages_of(b"".join(answer)))
                assert "Slide, roll or lever the stones" in text
                assert "the stones page allows" in text


class PosterTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        place = make_demonstration(
            name="Carrowlint flax", contact="the old school", directions="Up the lane."
        )
        cls.gathering = make_gathering(
            demonstration=place, title="Pulling evening", bring="Old shoes."
        )

    def text(self, *, large_print=False):
        row = Gathering.objects.for_page().get(pk=self.gathering.pk)
        pdf = sheets.poster(
            public_selectors.poster(row),
            address=ADDRESS + "gatherings/1/",
            printed_on=DAY,
            large_print=large_print,
        )
        (page,) = pages_of(pdf)
        return page

    def test_it_tells_the_day_the_hours_and_the_light_of_the_place(self):
        text = self.text()
        for words in (
            "Pulling evening",
            "Thursday 13 August",
            "18:30 to 20:30",
            "The gate on the lane",
            "Sunset 21:0",
            "Old shoes.",
            "Up the lane.",
            "the old school",
            "safety briefing",
            "gatherings/1/",
        ):
            assert words in text

    def test_it_calls_people_by_the_work_and_the_crop(self):
        assert "Come and pull FLAX" in self.text()
        assert {bool(text.come) for text in process_texts().values()} == {True}

    def test_its_code_is_read_back_from_both_papers(self):
        """By ZXing, from the page as pdfium draws it."""
        row = self.gathering
        address = reverse("public:poster", args=[row.demonstration.slug, row.pk])
        for query, size in ({}, (595, 842)), ({"a3": "1"}, (842, 1191)):
            pdf = pypdfium2.PdfDocument(b"".join(self.client.get(address, query)))
            page = pdf[0]
            assert tuple(map(round, page.get_size())) == size
            (code,) = zxingcpp.read_barcodes(page.render(scale=2).to_pil())
            assert code.text.endswith(row.get_absolute_url())
            pdf.close()

    def test_what_has_no_room_is_left_off_and_never_what_is_needed(self):
        rows = Gathering.objects.filter(pk=self.gathering.pk)
        rows.update(note="Much more to say of it. " * 80, stage=Stage.LIFTING)
        make_station(gathering=self.gathering, kind="tread", least_age="adult")
        for large in (False, True):
            text = self.printed(large=large)
            assert "Much more to say" not in text
            assert "Deep water. Keep back from the edge." in text
            assert "The gate on the lane" in text

    def test_large_print_stays_on_one_page(self):
        assert "Thursday 13 August" in self.text(large_print=True)

    def printed(self, *, large=False):
        """Print the poster as a visitor does."""
        row = self.gathering
        address = reverse("public:poster", args=[row.demonstration.slug, row.pk])
        answer = self.client.get(address, {"large": "1"} if large else {})
        (page,) = pages_of(b"".join(answer))
        return page

    def test_work_at_the_water_warns_and_brings_no_children(self):
        Gathering.objects.filter(pk=self.gathering.pk).update(stage=Stage.LIFTING)
        make_station(gathering=self.gathering, kind="tread", least_age="adult")
        make_station(gathering=self.gathering, kind="steward", least_age="adult")
        for large in (False, True):
            text = self.printed(large=large)
            assert "Deep water. Keep back from the edge." in text
            assert "Adults only, no children." in text
            assert "safety briefing" in text
            assert "A child comes" not in text

    def test_a_child_comes_where_some_of_the_work_is_for_them(self):
        Gathering.objects.filter(pk=self.gathering.pk).update(stage=Stage.LIFTING)
        make_station(gathering=self.gathering, kind="tread", least_age="adult")
        make_station(gathering=self.gathering, kind="talk", least_age="from_13")
        text = self.printed()
        assert "Deep water" in text
        assert "A child comes with an adult who answers for them." in text

    def test_on_dry_land_there_is_no_water_to_warn_of(self):
        assert "Deep water" not in self.printed()
        assert "A child comes" in self.printed()
        make_station(gathering=self.gathering, kind="drive", least_age="adult")
        text = self.printed()
        assert "Adults only, no children." in text
        assert "Deep water" not in text

    def test_a_poster_says_that_it_moved(self):
        assert "It was to meet" not in self.text()
        rows = Gathering.objects.filter(pk=self.gathering.pk)
        rows.update(moved_from_place="The mill")
        assert "It was to meet at The mill." in self.text()

    def test_a_poster_sends_nobody_in_vain(self):
        assert "Wait and see" not in self.text()
        self.gathering.calls.create(
            decision="hold", advice="hold", made_at=NOW_CALLED, made_by=make_user()
        )
        assert "Wait and see. Look again before you set out." in self.text()
        Gathering.objects.filter(pk=self.gathering.pk).update(
            status=GatheringStatus.CALLED_OFF
        )
        off = self.text()
        assert "Called off" in off
        assert "Sign up, and check" not in off


def alternatives(pdf: bytes) -> str:
    """Return the alternative texts of a sheet's pictures and drawings."""
    tree = PdfReader(BytesIO(pdf)).trailer["/Root"]["/StructTreeRoot"]
    found: list[str] = []
    _gather(tree, found)
    return " ".join(found)


def _gather(node, found):
    node = node.get_object()
    if isinstance(node, list):
        for kid in node:
            _gather(kid, found)
    elif isinstance(node, dict):
        if "/Alt" in node:
            found.append(str(node["/Alt"]))
        if "/K" in node:
            _gather(node["/K"], found)
