"""Names in words that others wrote: found, shown to whoever erases, and told of."""

import unicodedata

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models
from django.test import SimpleTestCase, TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.people.models import Volunteer
from heritage.pictures.models import Picture
from heritage.privacy.erasing import services
from heritage.privacy.models import Erasure
from heritage.privacy.searching import selectors as searching
from heritage.privacy.searching.selectors import (
    AROUND,
    called,
    mentions,
    named,
    searched,
)
from heritage.privacy.selectors import declared, home_path
from heritage.tally.models import Answer
from tests.factories import (
    NOW,
    make_briefing_version,
    make_check,
    make_demonstration,
    make_entry,
    make_erasure,
    make_gathering,
    make_hazard_change,
    make_incident,
    make_letter,
    make_machine_check,
    make_move,
    make_organiser,
    make_picture,
    make_volunteer,
)
from tests.people.world import make_world
from tests.tally.rows import make_own_log, make_work


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class NamingTests(SimpleTestCase):
    def found(self, text, *names, numbers=()):
        sought = called(names, numbers=numbers)
        return [(one.found, one.is_whole) for one in mentions(text, sought)]

    def test_a_whole_name_is_found_whatever_its_case_spacing_and_accents(self):
        for text in (
            "Seán Ó Súilleabháin",
            "SEÁN ó súilleabháin",
            "Sean O Suilleabhain",
            "Seán  Ó\nSúilleabháin",
            unicodedata.normalize("NFD", "Seán Ó Súilleabháin"),
        ):
            with self.subTest(text=text):
                said = f"Ask {text}\u2019s brother."
                assert self.found(said, "Seán Ó Súilleabháin") == [(text, True)]

    def test_other_alphabets_and_letters_that_fold_into_two(self):
        assert self.found("Κάλεσε τη ΛΙΝΟΥ.", "Λίνου") == [("ΛΙΝΟΥ", True)]
        assert self.found("GROSS war da", "Eva Groß") == [("GROSS", False)]
        assert self.found("Mary O\u2019Neill-Weir", "mary o'neill weir") == [
            ("Mary O\u2019Neill-Weir", True)
        ]

    def test_a_part_is_found_alone_and_said_to_be_a_part(self):
        said = "Ann was late; Rush came. Ann Rush left."
        assert self.found(said, "Ann Rush") == [
            ("Ann Rush", True),
            ("Ann", False),
            ("Rush", False),
        ]

    def test_a_word_that_only_holds_the_name_is_not_it(self):
        for text in ("Annual", "Joann", "Rushes", "élan_Ann", "Ann2", "Ännchen"):
            assert self.found(text, "Ann Rush") == []
        assert self.found("Ó dear", "Seán Ó Sé") == []

    def test_an_accent_typed_apart_touches_no_other_name(self):
        (one,) = mentions("Mit Ann\u0301 ging", called(["Ann"]))
        assert (one.found, one.after) == ("Ann\u0301", " ging")

    def test_addresses_and_numbers_are_found_whole(self):
        text = "ann@example.org rang: (028) 90-00 0000; joann@example.org did not."
        assert self.found(text, "ann@example.org", numbers=["028 9000 0000"]) == [
            ("ann@example.org", True),
            ("028) 90-00 0000", True),
        ]
        assert self.found("12 345", "Ann", numbers=["12345"]) == []

    def test_the_words_around_are_cut_and_say_so(self):
        text = "x" * 100 + "\nAnn\n" + "y" * 100
        (one,) = mentions(text, called(["Ann"]))
        assert one.before == "…" + "x" * (AROUND - 1) + " "
        assert one.after == " " + "y" * (AROUND - 1) + "…"

    def test_nobody_s_name_is_looked_for_nowhere(self):
        assert called(["", "  "]) is None


class EveryTextTests(SimpleTestCase):
    def test_every_text_of_every_table_is_searched_or_says_why_not(self):
        texts = {
            f"{model._meta.label}.{field.name}"
            for model in apps.get_models()
            if model.__module__.startswith("heritage.")
            for field in model._meta.concrete_fields
            if isinstance(field, models.CharField | models.TextField | models.JSONField)
            and not field.choices
            and not isinstance(field, models.URLField | models.EmailField)
        }
        found = {
            f"{one.model._meta.label}.{name}"
            for one in searched()
            for name in one.fields
        }
        not_searched = {
            f"{model._meta.label}.{name}": reason
            for model, holds in declared()
            for name, reason in holds.unsearched.items()
        }
        keys = {name for name in texts if is_key(name)}
        assert texts - found - set(not_searched) - keys == set(), (
            "Say in the model's `Privacy` where the words are changed, or why they "
            "are not searched."
        )
        assert found | set(not_searched) <= texts
        assert not found & set(not_searched)
        assert all(reason.endswith(".") for reason in not_searched.values())


def is_key(name):
    """Tell whether a text tells rows apart: nobody writes it."""
    label, _dot, field = name.rpartition(".")
    return apps.get_model(label)._meta.get_field(field).unique


class EveryPlaceTests(TestCase):
    def test_each_place_is_found_and_its_page_opens_for_an_organiser(self):
        world = make_world()
        eva = make_volunteer(demonstration=world.demonstration, name="Eva Zürn")
        by = world.rows["organiser"].user
        world.rows["lost_child"].steps.create(at=NOW, by=by, text="Found.")
        sealed = self.seal_in(world.rows, by)
        for table in searched():
            if table.model._meta.label not in sealed:
                self.write(table, world.demonstration)
        found = named(eva)
        pages = [table.words for table in searched()]
        assert len(pages) > 50
        assert all(any(one.source is page for one in found.surely) for page in pages)
        self.client.force_login(by)
        urls = {place.url for place in found.surely}
        assert [url for url in urls if self.client.get(url).status_code != 200] == []

    def seal_in(self, rows, by):
        """Write the name into the tables whose rows never change."""
        evening, ann = rows["gathering"], rows["volunteer"]
        own = make_own_log(gathering=evening, volunteer=ann, note="With Eva Zürn")
        said = {"answered_at": NOW, "answered_by": by, "reason": "Eva Zürn says so"}
        made = [
            make_briefing_version(
                briefing=rows["briefing"],
                content={"title": "Pulling", "task": "Ask Eva Zürn"},
            ),
            make_machine_check(machine=rows["machine"], note="Eva Zürn oiled it"),
            make_hazard_change(demonstration=evening.demonstration, title="Eva Zürn"),
            make_entry(gathering=evening, volunteer=ann, reason="Eva Zürn counted"),
            make_work(gathering=evening, note="With Eva Zürn"),
            make_move(lot=rows["lot"], note="With Eva Zürn"),
            make_check(ret=rows["ret"], note="With Eva Zürn"),
            Answer.objects.create(own_log=own, **said),
            own,
        ]
        return {row._meta.label for row in made}

    def write(self, table, home):
        """Write the name into one row that is there."""
        model = table.model
        row = model._default_manager.filter(**{home_path(model): home.pk}).first()
        assert row, model
        field = model._meta.get_field(table.fields[0])
        is_json = isinstance(field, models.JSONField)
        words = {"account": ["", "Eva Zürn"]} if is_json else "Eva Zürn"
        rows = model._default_manager.filter(pk=row.pk)
        rows.update(**{table.fields[0]: words})


class World(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.home, name="Nora Bell")
        cls.eva = make_volunteer(
            demonstration=cls.home, name="Eva Zürn", phone="028 9000 0001"
        )
        cls.asked = make_erasure(volunteer=cls.eva)

    def carry_out(self, **said):
        return services.carry_out_erasure(
            erasure=self.asked, by=self.nora.user, now=NOW, **said
        )

    def page(self, **posted):
        self.client.force_login(self.nora.user)
        url = reverse("privacy:erasure", args=[self.home.slug, self.asked.pk])
        if posted:
            return self.client.post(url, posted, follow=True)
        return self.client.get(url)


class NamedTests(World):
    def test_what_goes_anyway_and_what_is_of_elsewhere_is_not_shown(self):
        make_letter(demonstration=self.home, volunteer=self.eva, text="Dear Eva Zürn")
        make_picture(caption="Eva Zürn")
        assert named(self.eva) == searching.Named((), ())

    def test_every_name_they_go_by_is_looked_for(self):
        merged = make_volunteer(
            demonstration=self.home, user=None, name="Evie Carr", left_at=NOW,
            merged_into=self.eva,
        )  # fmt: skip
        self.eva.user.name = "E. M. Zürn"
        self.eva.user.save()
        for words in (merged.name, "E. M. Zurn", self.eva.email, "028-9000-0001"):
            make_picture(demonstration=self.home, caption=f"By {words}, at dusk")
        assert len(named(self.eva).surely) == 4

    def test_it_costs_a_query_for_each_table_however_many_rows(self):
        for rows in (1, 4):
            for _ in range(rows):
                make_picture(demonstration=self.home, caption="Eva Zürn and Eva")
                make_gathering(demonstration=self.home, note="Ask Eva.")
            eva = Volunteer.objects.select_related("demonstration", "user").get(
                pk=self.eva.pk
            )
            with self.assertNumQueries(len(searched()) + 1):
                found = named(eva)
        assert len(found.surely) == len(found.perhaps) == 5

    def test_many_chance_finds_are_cut_and_counted(self):
        for number in range(3):
            make_gathering(demonstration=self.home, note=f"Ask Eva. {number}")
        searching_most = searching.MOST_SHOWN
        self.addCleanup(setattr, searching, "MOST_SHOWN", searching_most)
        searching.MOST_SHOWN = 2
        found = named(self.eva)
        assert (len(found.shown_perhaps), found.not_shown) == (2, 1)
        assert not found.asks_why


class CarryOutTests(World):
    def test_the_page_shows_each_place_with_its_words_and_its_page(self):
        picture = make_picture(
            demonstration=self.home, caption="Here Eva Zürn ties a beet"
        )
        incident = make_incident(demonstration=self.home, account="Eva  zurn fell")
        make_gathering(demonstration=self.home, note="Ask Eva for the key")
        page = self.page()
        self.assertContains(page, "“Here <strong>Eva Zürn</strong> ties a beet”")
        self.assertContains(page, "<strong>Eva  zurn</strong> fell")
        self.assertContains(page, "The law asks for a record of it")
        self.assertContains(page, "Perhaps them: 1 with part of the name")
        for view, row in (("pictures:edit", picture), ("incidents:incident", incident)):
            self.assertContains(page, reverse(view, args=[self.home.slug, row.pk]))
        self.assertContains(page, 'name="why_left"')

    def test_left_without_a_reason_it_is_refused_and_nothing_goes(self):
        make_picture(demonstration=self.home, caption="Eva Zürn")
        page = self.page(sure="on", why_left=" ")
        self.assertContains(page, "Change them, or say why they stay.")
        self.eva.refresh_from_db()
        assert self.eva.name == "Eva Zürn"
        with pytest.raises(ValidationError, match="Their name is still in some texts"):
            self.carry_out()

    def test_the_reason_may_not_name_them_since_it_is_kept(self):
        make_picture(demonstration=self.home, caption="Eva Zürn")
        page = self.page(sure="on", why_left="Eva Zurn said that it may stay.")
        self.assertContains(page, "Leave out the name: we keep these words.")
        self.assertContains(page, "Eva Zurn said that it may stay.")
        assert not Erasure.objects.done().exists()

    def test_what_was_left_is_kept_with_its_reason_and_without_the_name(self):
        for _ in range(2):
            make_picture(
                demonstration=self.home, caption="Eva Zürn", alt_text="Eva Zürn"
            )
        make_incident(demonstration=self.home, account="Eva Zürn fell")
        page = self.page(sure="on", why_left="She said it may stay.")
        self.assertContains(page, "Deleted for good.")
        kept = Erasure.objects.get().kept
        words = "the name, in words that others wrote: "
        assert [words + "a picture", 2, "She said it may stay."] in kept
        (law,) = [row for row in kept if row[0] == words + "an incident"]
        assert law[1:] == [1, "The law asks for a record of it: it stays as written "
                              "until it is due."]  # fmt: skip
        assert "Zürn" not in str(kept)
        assert set(Picture.objects.values_list("caption", flat=True)) == {"Eva Zürn"}

    def test_where_all_was_changed_nothing_is_asked(self):
        row = make_picture(demonstration=self.home, caption="Eva Zürn")
        row.caption = "Somebody ties a beet"
        row.save()
        page = self.page()
        self.assertNotContains(page, 'name="why_left"')
        self.assertContains(page, "Nobody wrote their whole name")
        self.assertContains(self.page(sure="on"), "Deleted for good.")

    def test_a_record_kept_by_law_alone_asks_for_no_reason(self):
        make_incident(demonstration=self.home, account="Eva Zürn fell")
        assert self.carry_out().carried_out_at == NOW

    def test_the_person_themselves_is_not_shown_what_others_wrote(self):
        make_incident(demonstration=self.home, account="Eva Zürn was drunk")
        self.client.force_login(self.eva.user)
        url = reverse("privacy:erase", args=[self.home.slug, self.eva.pk])
        page = self.client.get(url)
        self.assertNotContains(page, "drunk")
        self.assertContains(page, "an organiser checks each one")
