"""A stage is added in one place: every list of stages follows from that one."""

import re
from collections import Counter
from pathlib import Path

import pytest
from django.apps import apps
from django.db import IntegrityError, transaction
from django.test import TestCase

from heritage.briefings.hazards.forms import HazardForm
from heritage.common.access import Role
from heritage.gatherings.forms import PatternForm, WorkForm
from heritage.kits.signs import sign
from heritage.pictures.forms import PictureForm
from heritage.public.process.words import process_texts
from heritage.public.shelf.selectors import shelf_page
from heritage.season.models import AT_BREAKER, AT_THE_DAM, Part, Stage
from heritage.season.selectors import season
from tests.factories import NOW, make_demonstration, make_gathering

HOUSE = Path(__file__).parent.parent.parent
LIST = HOUSE / "heritage/season/models.py"
NAMED = re.compile(
    "|".join([rf"\"({'|'.join(Stage.values)})\"", r"\bStage\.([A-Z_]+)"])
)
# The files that speak of more than one stage by name, and why each may.
SPOKEN_OF = {
    "calc/_dressing.py": (
        {"breaking", "scutching", "hackling"},
        "the figures of each work",
    ),
    "fibre/models.py": ({"breaking", "scutching", "hackling"}, "works of one's own"),
    "desk/harvest/forms.py": ({"pulling", "carting"}, "what the plan proposes"),
    "desk/harvest/selectors.py": ({"pulling", "carting"}, "what the plan proposes"),
    "desk/outlook/selectors.py": ({"carting", "filling_the_dam"}, "days with a cart"),
    "season/glossary/words.py": (
        {"stooking", "retting", "grassing", "breaking", "scutching", "hackling"},
        "what a word of the trade means",
    ),
    "season/selectors.py": (
        {"sowing", "flowering", "pulling"},
        "plots, looks and words end them",
    ),
    "dam/evening/selectors.py": ({"carting", "filling_the_dam"}, "a dam's evening"),
    "dam/models.py": (
        {"pulling", "lifting", "scutching", "hackling"},
        "what is dried or weighed",
    ),
}
CHOSEN = [
    ("stage", WorkForm),
    ("stage", PatternForm),
    ("stage", PictureForm),
    ("stages", HazardForm),
]


class TestEachStage:
    @pytest.mark.parametrize("stage", Stage)
    def test_it_has_its_words_and_its_cautions(self, stage):
        text = process_texts()[stage]
        assert all((text.what, text.why, text.how, text.words, text.steps_from))
        assert text.cautions
        assert all(sign(kind) for kind, _ in text.cautions)

    @pytest.mark.parametrize(("field", "form"), CHOSEN)
    def test_every_form_offers_every_stage(self, field, form):
        offered = [value for value, _ in form.base_fields[field].choices if value]
        assert offered == Stage.values

    def test_every_table_takes_every_stage_and_no_other(self):
        fields = [
            field
            for model in apps.get_models()
            for field in model._meta.get_fields()
            if field.name == "stage" and model.__module__.startswith("heritage.")
        ]
        assert len(fields) > 3
        for field in fields:
            assert [value for value, _ in field.choices] == Stage.values
            assert max(map(len, Stage.values)) <= field.max_length

    def test_no_other_code_lists_stages(self):
        """It may speak of one by its name; of more only where the table says why."""
        files = [
            file
            for file in HOUSE.glob("heritage/**/*.py")
            if "migrations" not in file.parts and file != LIST
        ]
        named = {
            file.relative_to(HOUSE / "heritage").as_posix(): stages_in(
                file.read_text("utf-8")
            )
            for file in files
        }
        several = {file: names for file, names in named.items() if len(names) > 1}
        assert several == {file: names for file, (names, _why) in SPOKEN_OF.items()}


def stages_in(code):
    return {(quoted or dotted).lower() for quoted, dotted in NAMED.findall(code)}


class TestParts:
    def test_the_parts_follow_each_other_without_a_gap(self):
        assert [one for part in Part for one in Stage.of_part(part)] == list(Stage)

    def test_what_kind_of_work_each_is(self):
        assert {*AT_THE_DAM} == {"filling_the_dam", "retting", "lifting"}
        assert {*AT_BREAKER} == {"breaking", "scutching", "hackling"}
        assert {one for one in Stage if one.kind.indoors} == {"hackling", "spinning"}


class PageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()

    def test_the_shelf_has_a_sheet_for_each_once_in_their_order(self):
        found = shelf_page(self.place, None, Role.VISITOR, None, NOW).shelves
        titles = [
            sheet.title
            for shelf in found
            if shelf.title.startswith("How it is done: ")
            for sheet in shelf.sheets
        ]
        names = [stage.label.capitalize() for stage in Stage]
        assert [title for title in titles if title in names] == names
        assert max(Counter(titles).values()) == 1

    def test_the_season_board_has_a_line_for_each(self):
        assert [line.stage for line in season(self.place).stages] == list(Stage)

    def test_the_database_takes_each_and_refuses_what_is_none(self):
        gathering = make_gathering(demonstration=self.place)
        for stage in Stage:
            gathering.stage = stage
            gathering.save(update_fields=["stage"])
        gathering.stage = "no_stage"
        with pytest.raises(IntegrityError, match="stage"), transaction.atomic():
            gathering.save(update_fields=["stage"])
