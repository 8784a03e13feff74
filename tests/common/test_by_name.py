"""Choosing somebody by typing a name."""

from datetime import timedelta

from django.http import QueryDict
from django.test import TestCase

from heritage.common.by_name import ByName, labels_of
from heritage.common.forms import ServiceForm
from heritage.people.models import AgeBand, Volunteer
from tests.factories import NOW, make_demonstration, make_volunteer


class Who(ServiceForm):
    who = ByName(Volunteer.objects.none(), required=False)


class ByNameTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        names = ("Maeve Orr", "Seán Bell", "Sean Bell", "Ann Rush")
        cls.people = [
            make_volunteer(demonstration=cls.home, user=None, name=name)
            for name in names
        ]
        cls.maeve, cls.fada, cls.plain, cls.ann = cls.people
        cls.child = make_volunteer(
            demonstration=cls.home,
            user=None,
            name="Ann Rush",
            age_band=AgeBand.FROM_13,
            guardian=cls.maeve,
        )

    def form(self, said=None, **initial):
        form = Who(said and QueryDict(said), initial=initial)
        form.offer("who", Volunteer.objects.of(self.home).by_name())
        return form

    def found(self, said):
        form = self.form(said)
        assert form.is_valid(), form.errors
        return form.cleaned_data["who"]

    def refused(self, said):
        form = self.form(said)
        assert not form.is_valid()
        return form.errors["who"][0], str(form["who"])

    def test_a_name_is_found_whatever_its_case_and_spaces(self):
        for said in ("who=Maeve Orr", "who=+maeve++ORR+", "who=Máeve Orr"):
            assert self.found(said) == self.maeve

    def test_a_name_with_an_accent_is_not_the_one_without(self):
        assert self.found("who=Seán Bell") == self.fada
        assert self.found("who=Sean Bell") == self.plain

    def test_nothing_typed_is_nobody(self):
        assert self.found("who=+") is None
        assert self.found(f"who=&who_is={self.ann.pk} Ann") is None

    def test_two_of_one_name_are_told_apart_by_what_is_true_of_them(self):
        assert self.found("who=Ann Rush (with Maeve Orr)") == self.child
        assert self.found("who=ann rush (18 or over)") == self.ann

    def test_a_name_found_twice_is_asked_and_stays(self):
        words, page = self.refused("who=Ann Rush")
        assert words == "There is more than one “Ann Rush”. Which one?"
        assert 'value="Ann Rush"' in page
        assert f'value="{self.child.pk} Ann Rush"' in page
        assert page.count('type="radio"') == 2

    def test_the_one_chosen_is_taken_until_the_name_changes(self):
        chosen = f"&who_is={self.child.pk} Ann Rush"
        assert self.found("who=Ann Rush" + chosen) == self.child
        assert self.found("who=Maeve Orr" + chosen) == self.maeve

    def test_a_slip_or_a_part_of_a_name_lists_who_may_be_meant(self):
        for said in ("who=Mave Or", "who=orr"):
            words, page = self.refused(said)
            assert "isn't on the list. Is it one of these?" in words
            assert f'value="{self.maeve.pk} ' in page

    def test_a_name_like_nobody_s_lists_nobody(self):
        words, page = self.refused("who=Zebedee")
        assert words == "“Zebedee” isn't on the list. Check the spelling."
        assert "radio" not in page

    def test_somebody_who_is_not_offered_is_neither_found_nor_suggested(self):
        stranger = make_volunteer(user=None, name="Una Far")
        words, page = self.refused("who=Una Far")
        assert "Check the spelling" in words
        assert "Una Far" not in page.replace('value="Una Far"', "", 1)
        chosen = f"who=Una Far&who_is={stranger.pk} Una Far"
        assert self.refused(chosen)[0] == words

    def test_a_page_of_four_hundred_takes_one_query(self):
        Volunteer.objects.bulk_create(
            Volunteer(demonstration=self.home, name=f"Same {n // 2}", joined_at=NOW)
            for n in range(400)
        )
        with self.assertNumQueries(1):
            page = str(self.form(who=self.ann.pk)["who"])
        assert 'value="Ann Rush (18 or over)"' in page
        assert page.count("<option") == 405
        assert len(page) < 40_000
        with self.assertNumQueries(1):
            assert not self.form("who=Same 7").is_valid()

    def test_what_is_left_as_it_was_has_not_changed(self):
        said = "who=Ann Rush (18 or over)"
        assert not self.form(said, who=self.ann.pk).has_changed()
        assert self.form(said, who=self.maeve).has_changed()
        assert self.form("who=nobody", who=self.maeve).has_changed()

    def test_who_joined_the_same_moment_has_a_number(self):
        twins = [
            make_volunteer(demonstration=self.home, user=None, name="Joe", joined_at=at)
            for at in (NOW, NOW, NOW - timedelta(days=3))
        ]
        assert [*labels_of(twins[1:]).values()] == [
            "Joe (joined 12 Aug 2026)",
            "Joe (joined 9 Aug 2026)",
        ]
        assert [*labels_of(twins[:2]).values()] == [
            f"Joe (no. {one.pk})" for one in twins[:2]
        ]
