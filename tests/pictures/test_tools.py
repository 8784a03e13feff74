"""A picture of a tool: chosen by its name, looked for, asked for, and shown."""

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.common.by_name import CodeByName, Typed
from heritage.pictures import services, words
from heritage.pictures.forms import FindForm
from heritage.pictures.many.selectors import gaps
from heritage.pictures.models import Picture, Shot
from heritage.pictures.selectors import to_be_found
from heritage.public.process.words import names, text_of
from heritage.public.story.selectors import tools_seen
from heritage.season.models import Stage, StageRecord, Tool
from tests.factories import NOW, make_organiser, make_picture


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class TestTheList:
    def test_each_tool_is_of_works_that_have_a_sheet(self):
        sheets = [text_of(name) for name in names()]
        works = {
            one.name if one.is_stage else f"{one.stage.value}/{one.name}"
            for one in sheets
        }
        assert {work for tool in Tool for work in tool.works} <= works

    def test_a_sheet_names_the_tools_of_its_work(self):
        assert text_of("rippling").tools == ("ripple comb",)
        assert text_of("scutching").tools == ("scutching board", "scutching blade")
        assert text_of("stooking").tools == ()

    def test_a_stage_has_those_of_every_work_within_it(self):
        assert Tool.of_stage(Stage.STOOKING) == [Tool.RIPPLE_COMB]
        assert Tool.of_stage(Stage.PULLING) == [Tool.BAND]


class TestChosenByName:
    field = CodeByName(Tool.choices, required=False)

    def test_a_name_gives_its_code_and_nothing_none(self):
        assert self.field.clean(Typed("Ripple comb")) == "ripple_comb"
        assert self.field.clean(Typed("")) == ""
        assert self.field.prepare_value("hackle") == "hackle"
        assert self.field.prepare_value(Typed("comb")) == "comb"
        assert not self.field.has_changed("hackle", Typed("Hackle"))
        assert self.field.has_changed("hackle", Typed("no such thing"))

    def test_part_of_a_name_asks_which(self):
        with pytest.raises(ValidationError, match="Is it one of these"):
            self.field.clean(Typed("scutching"))


class PictureOfAToolTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.nora = make_organiser()
        cls.here = cls.nora.demonstration
        cls.comb = make_picture(
            demonstration=cls.here, stage=Stage.STOOKING, tool=Tool.RIPPLE_COMB
        )

    def test_it_is_chosen_on_the_pictures_page_and_a_wrong_name_is_asked_about(self):
        picture = make_picture(demonstration=self.here)
        url = reverse("pictures:edit", args=[self.here.slug, picture.pk])
        self.client.force_login(self.nora.user)
        form = self.client.get(url).context["form"]
        data = {name: form[name].value() or "" for name in form.fields}
        data |= {"tool": "hackl", "people": []}
        refused = self.client.post(url, data)
        assert "Is it one of these" in refused.context["form"].errors["tool"][0]
        self.assertContains(refused, 'value="hackl"')
        self.client.post(url, data | {"tool": "Hackle"})
        picture.refresh_from_db()
        assert picture.tool == Tool.HACKLE
        page = self.client.get(picture.get_absolute_url())
        self.assertContains(page, "?tool=hackle")

    def test_the_database_knows_the_list(self):
        with pytest.raises(IntegrityError, match="tool"), transaction.atomic():
            Picture.objects.update(tool="horse")

    def test_pictures_with_a_ripple_comb_are_found_by_everybody(self):
        make_picture(demonstration=self.here)
        url = reverse("pictures:list", args=[self.here.slug])
        for asked in ({"tool": "ripple_comb"}, {"words": "RIPPLE comb"}):
            assert self.client.get(url, asked).context["wall"].count == 1
        form = FindForm(
            {},
            here=self.here,
            reader=self.nora.user,
            people=to_be_found(self.here, self.nora.user, all_=True),
        )
        assert [code for code, _ in form.fields["tool"].choices] == ["", "ripple_comb"]

    def test_a_stage_that_is_going_on_asks_for_each_tool_it_has_not(self):
        for stage in (Stage.STOOKING, Stage.SCUTCHING):
            StageRecord.objects.create(
                demonstration=self.here, stage=stage, started_on=date(2026, 8, 3)
            )
        stooking, scutching = gaps(self.here)
        assert Shot.TOOL not in stooking.lacking
        assert Shot.TOOL in scutching.lacking
        assert scutching.tools == (Tool.SCUTCHING_BOARD, Tool.SCUTCHING_BLADE)
        self.client.force_login(self.nora.user)
        page = self.client.get(reverse("pictures:list", args=[self.here.slug]))
        self.assertContains(page, "(scutching board, scutching blade)")

    def test_its_stage_shows_it_once_visitors_may_see_it(self):
        make_picture(demonstration=self.here, tool=Tool.RIPPLE_COMB)
        (seen,) = tools_seen(self.here, Stage.STOOKING)
        url = reverse("public:stage", args=[self.here.slug, "stooking"])
        assert seen.tool == Tool.RIPPLE_COMB
        self.assertContains(self.client.get(url), "The tools, seen")
        for one in Picture.objects.all():
            services.withdraw(picture=one)
        self.assertNotContains(self.client.get(url), "The tools, seen")

    def test_every_copy_says_what_tool_it_is_of(self):
        assert "ripple comb" in words.carried(self.comb).keywords
