"""What is held about one person: nothing forgotten, nobody else's shown."""

import json
from io import BytesIO

import pytest
from django.apps import apps
from django.test import SimpleTestCase, TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.common.privacy import (
    OF_LIBRARIES,
    About,
    Counted,
    Holds,
    Untold,
    Wrote,
    column,
)
from heritage.people.models import Agreement, HealthNote, Subject, User, Volunteer
from heritage.pictures.models import Picture
from heritage.privacy.held import selectors as held_selectors
from heritage.privacy.held import sheets
from heritage.privacy.selectors import ORDER, declared, facts, sources
from tests.factories import (
    NOW,
    make_agreement,
    make_check,
    make_dam,
    make_health_note,
    make_organiser,
    make_ret,
    make_volunteer,
    make_wording,
)
from tests.privacy.world import fill, fill_once, make_home


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class NothingForgottenTests(SimpleTestCase):
    """A new table or field about a person is told of, or says why it is not."""

    def test_every_field_that_leads_to_a_person(self):
        found = {
            (model, field.name)
            for model in apps.get_models()
            for field in model._meta.get_fields()
            if field.is_relation
            and not field.auto_created
            and field.related_model in (User, Volunteer)
        }
        assert len(found) > 40
        told = {
            (model, field)
            for model, holds in declared()
            for field in holds.facts()
            if field != "pk"
        }
        assert found == told, "Say in the model's `Privacy` what it is."

    def test_every_table_says_what_it_holds(self):
        silent = {model._meta.label for model in apps.get_models() if not says(model)}
        assert silent == set(), "Say it in a `Privacy` of its own, if it is nothing."
        assert set(OF_LIBRARIES) <= {model._meta.label for model in apps.get_models()}

    def test_every_exception_has_its_reason(self):
        reasons = [fact.reason for _model, _field, fact in facts(Untold)]
        reasons += [holds.not_given for _, holds in declared() if holds.not_given]
        assert reasons
        assert all(reason.endswith(".") for reason in reasons)

    def test_keys_are_used_once(self):
        keys = [fact.key for kind in (About, Wrote) for *_, fact in facts(kind)]
        assert len(keys) == len(set(keys))
        assert set(ORDER) <= {fact.key for *_, fact in facts(About)}

    def test_what_is_said_names_fields_that_are_there(self):
        for source in sources():
            rows = source.model._default_manager.order_by(source.about.order)
            names = [one.path for one in source.columns]
            assert str(rows.values(*names, source.path).query)
        for model, field, wrote in facts(Wrote):
            names = [column(model, one).path for one in wrote.columns.split()]
            assert str(model._default_manager.values(*names, field).query)
        for model, field, counted in facts(Counted):
            assert str(model._default_manager.values(counted.when, field).query)
        for model, holds in declared():
            names = {field.name for field in model._meta.get_fields()}
            assert set(holds.labels) <= names, model
            said = {name for name in vars(holds) if not name.startswith("_")}
            known = {*holds.facts(), *Holds.__annotations__}
            assert holds is Holds or said <= known, model


def says(model):
    """Tell whether a model itself says what it holds, and not one it derives from."""
    return "Privacy" in vars(model) or model._meta.label in OF_LIBRARIES


class HeldTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home, cls.nora, cls.ann, cls.ned = make_home()
        fill_once(cls.ann, by=cls.ann.user)

    def parts(self, person):
        return {part.key: part for part in held_selectors.held(person, NOW).parts}

    def test_every_room_is_walked(self):
        found = self.parts(self.ann)
        expected = {
            "details", "account", "children", "skills", "health_note", "agreements",
            "sign_ups", "turnout", "head_counts", "slips", "entries", "work",
            "own_logs", "statement", "briefings", "incidents", "steward_posts",
            "pictures", "letters", "invitations", "calls", "notes", "pictures_added",
            "incidents_written", "head_counts_called", "for_others",
        }  # fmt: skip
        assert expected <= set(found)
        assert dict(found["statement"].facts)["beets"] == 7

    def test_a_test_that_somebody_made_says_that_it_was_struck(self):
        ret = make_ret(dam=make_dam(demonstration=self.home))
        make_check(ret=ret, entered_by=self.ann.user)
        said = {"struck_at": NOW, "struck_why": "badly"}
        make_check(ret=ret, entered_by=self.ann.user, **said)
        lines = [dict(line) for line in self.parts(self.ann)["tests"].lines]
        assert [one["why it was struck"] for one in lines] == ["", "not done properly"]

    def test_a_child_is_told_of_apart(self):
        found = self.parts(self.ned)
        assert set(found) == {"details"}
        assert dict(found["details"].facts)["guardian"] == "Ann Rush"

    def test_what_others_say_of_an_incident_is_not_shown(self):
        text = sheets.held_file(held_selectors.held(self.ned, NOW)).decode()
        fill(self.ned, by=self.nora.user)
        text = sheets.held_file(held_selectors.held(self.ned, NOW)).decode()
        assert "A cut on the hand" in text
        assert "Said by somebody else" not in text

    def test_another_place_stays_apart(self):
        """An account at two demonstrations has a record at each."""
        there = make_volunteer(user=self.ann.user)
        fill(there, by=self.ann.user)
        before = held_selectors.held(self.ann, NOW)
        fill(there, by=self.ann.user)
        assert held_selectors.held(self.ann, NOW) == before

    def test_lines_merged_into_it_are_read_too(self):
        old = make_volunteer(demonstration=self.home, user=None, name="A. Rush")
        make_agreement(
            volunteer=old, wording=make_wording(demonstration=self.home, number=9)
        )
        assert len(self.parts(self.ann)["agreements"].rows) == 1
        old.merged_into, old.left_at = self.ann, NOW
        old.save(update_fields=["merged_into", "left_at"])
        assert len(self.parts(self.ann)["agreements"].rows) == 2

    def test_twice_the_rows_cost_no_more_queries(self):
        kinds = [*facts(About), *facts(Wrote), *facts(Counted)]
        for _size in range(2):
            ann = Volunteer.objects.select_related("demonstration").get(pk=self.ann.pk)
            # One for each kind, the lines merged into it, and the statement's five.
            with self.assertNumQueries(len(kinds) + 1 + 5):
                held_selectors.held(ann, NOW)
            fill(self.ann, by=self.ann.user)
            fill(self.ann, by=self.nora.user)

    def test_the_file_says_what_each_key_means_and_is_the_same_each_time(self):
        page = held_selectors.held(self.ann, NOW)
        data = sheets.held_file(page)
        assert data == sheets.held_file(held_selectors.held(self.ann, NOW))
        made = json.loads(data)
        assert made["made_at"] == "2026-08-12T17:40:00+00:00"
        for part in made["parts"]:
            for row in part["rows"]:
                assert list(row) == list(part["columns"])
        assert [part["key"] for part in made["parts"]] == [p.key for p in page.parts]

    def test_the_sheet_holds_the_same(self):
        page = held_selectors.held(self.ann, NOW)
        day = NOW.date()
        pdf = sheets.held_sheet(page, printed_on=day, large_print=False)
        assert pdf == sheets.held_sheet(page, printed_on=day, large_print=False)
        reader = PdfReader(BytesIO(pdf))
        text = "\n".join(sheet.extract_text() for sheet in reader.pages)
        for part in page.parts:
            assert part.title in text
        assert "A cut on the hand" in " ".join(text.split())
        large = sheets.held_sheet(page, printed_on=day, large_print=True)
        assert len(PdfReader(BytesIO(large)).pages) > len(reader.pages)

    def test_values_are_written_as_people_read_them(self):
        words = [
            held_selectors.shown(value, self.home) for value in (None, True, False, 3)
        ]
        assert words == ["-", "yes", "no", "3"]
        assert held_selectors.shown(NOW, self.home) == "12 Aug 2026, 18:40"
        assert held_selectors.shown(NOW.date(), self.home) == "12 Aug 2026"


@pytest.mark.any_database
class PageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home, cls.nora, cls.ann, cls.ned = make_home()
        cls.paper = make_volunteer(demonstration=cls.home, user=None, name="Old Torin")
        fill_once(cls.ann, by=cls.ann.user)

    def status(self, user, person):
        self.client.force_login(user)
        kinds = ("held", "held_file", "held_sheet")
        pages = [
            reverse(f"privacy:{k}", args=[self.home.slug, person.pk]) for k in kinds
        ]
        answers = [self.client.get(page) for page in pages]
        assert all(
            "no-store" in a["Cache-Control"] for a in answers if a.status_code == 200
        )
        [status] = {answer.status_code for answer in answers}
        return status

    def test_one_s_own_one_s_child_s_and_a_paper_line_for_the_organiser(self):
        others = make_volunteer(demonstration=self.home).user
        stranger = make_organiser().user
        for user, opens in {
            self.ann.user: [self.ann, self.ned],
            self.nora.user: [self.nora, self.paper, self.ned],
            others: [],
        }.items():
            for person in (self.ann, self.ned, self.nora, self.paper):
                expected = 200 if person in opens else 404
                with self.subTest(user=str(user), person=str(person)):
                    assert self.status(user, person) == expected
        assert self.status(stranger, self.paper) == 403

    def test_my_own_is_one_press_away(self):
        self.client.force_login(self.ann.user)
        answer = self.client.get(reverse("privacy:mine", args=[self.home.slug]))
        assert answer.url == reverse("privacy:held", args=[self.home.slug, self.ann.pk])
        me = self.client.get(reverse("people:me", args=[self.home.slug]))
        assert answer.url in me.content.decode()

    def test_the_page_shows_and_links(self):
        self.client.force_login(self.ann.user)
        page = reverse("privacy:held", args=[self.home.slug, self.ann.pk])
        text = self.client.get(page).content.decode()
        for words in ("028 9000 0000", "inhaler", "Take back", "Ned Rush"):
            assert words in text
        child = reverse("privacy:held", args=[self.home.slug, self.ned.pk])
        assert reverse("people:edit_child", args=[self.home.slug, self.ned.pk]) in (
            self.client.get(child).content.decode()
        )


class TakeBackTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home, cls.nora, cls.ann, cls.ned = make_home()
        fill(cls.ann, by=cls.ann.user)

    def press(self, user, agreement):
        self.client.force_login(user)
        address = reverse("privacy:take_back", args=[self.home.slug, agreement.pk])
        return self.client.post(address)

    def test_pictures_go_in_the_same_stroke(self):
        agreement = Agreement.objects.get(volunteer=self.ann)
        answer = self.press(self.ann.user, agreement)
        assert answer.status_code == 302
        agreement.refresh_from_db()
        assert agreement.withdrawn_by == self.ann.user
        assert not Picture.objects.of(self.home).published().exists()
        words = self.client.get(answer.url).content.decode()
        assert "1 picture is no longer shown" in words

    def test_a_health_note_goes_with_its_agreement(self):
        words = make_wording(demonstration=self.home, subject=Subject.HEALTH)
        agreement = make_agreement(volunteer=self.ned, wording=words)
        make_health_note(volunteer=self.ned)
        self.press(self.ann.user, agreement)
        assert not HealthNote.objects.filter(volunteer=self.ned).exists()
        assert Picture.objects.of(self.home).published().exists()

    def test_that_the_notice_was_read_takes_nothing_down(self):
        words = make_wording(demonstration=self.home, subject=Subject.NOTICE)
        self.press(self.ann.user, make_agreement(volunteer=self.ann, wording=words))
        assert Picture.objects.of(self.home).published().exists()

    def test_an_organiser_who_was_told_may(self):
        agreement = Agreement.objects.get(volunteer=self.ann)
        self.press(self.nora.user, agreement)
        agreement.refresh_from_db()
        assert agreement.withdrawn_by == self.nora.user

    def test_nobody_else_may(self):
        agreement = Agreement.objects.get(volunteer=self.ann)
        other = make_volunteer(demonstration=self.home)
        assert self.press(other.user, agreement).status_code == 404
        agreement.refresh_from_db()
        assert agreement.withdrawn_at is None
