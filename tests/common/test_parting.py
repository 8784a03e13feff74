"""Long lists in parts, searched without losing what was ticked."""

from django.http import QueryDict
from django.test import SimpleTestCase, TestCase

from heritage.common.forms import ServiceForm
from heritage.common.parting import TicksByName, in_two, parted
from heritage.people.models import Volunteer
from tests.factories import NOW, make_demonstration


def names(parts):
    return [(part.first, part.last, len(part.rows), part.is_open) for part in parts]


class PartedTests(SimpleTestCase):
    def test_a_short_list_is_one_open_part(self):
        assert parted([], str) == []
        assert names(parted(range(14), str)) == [("0", "13", 14, True)]

    def test_a_long_one_shows_ten_and_folds_the_rest(self):
        assert names(parted(range(24), str)) == [
            ("0", "9", 10, True),
            ("10", "19", 10, False),
            ("20", "23", 4, False),
        ]
        assert not any(part.is_open for part in parted(range(24), str, opens=False))

    def test_what_is_at_hand_comes_first_and_nothing_twice(self):
        parts = parted(range(17), str, lambda row: row in (3, 16))
        assert parts[0].rows == [3, 16]
        assert sorted(row for part in parts for row in part.rows) == [*range(17)]
        assert [part.is_open for part in parts] == [True, False, False]


class InTwoTests(SimpleTestCase):
    def test_a_text_is_parted_where_a_sentence_ends_and_nothing_is_lost(self):
        assert in_two("Bring a rake.") == ("Bring a rake.", "")
        for text in ("A short one. " * 60, "no stop at all " * 60, "x" * 900):
            first, rest = in_two(text)
            assert 350 < len(first) <= 400
            assert "".join((first + rest).split()) == "".join(text.split())
        assert in_two("A short one. " * 60)[0].endswith(".")


class Heard(ServiceForm):
    people = TicksByName(Volunteer.objects.none())

    def write(self):
        return [person.name for person in self.cleaned_data["people"]]


class TicksTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        cls.people = Volunteer.objects.bulk_create(
            Volunteer(demonstration=cls.home, name=f"Person {n:03}", joined_at=NOW)
            for n in range(400)
        )

    def form(self, said=None):
        form = Heard(said and QueryDict(said))
        form.offer("people", Volunteer.objects.of(self.home).by_name())
        return form

    def test_a_search_keeps_what_was_ticked_and_takes_nothing(self):
        ticked, found = self.people[7], self.people[388]
        form = self.form(f"people={ticked.pk}&sought=person+388&seek=1")
        assert not form.submit()
        assert form.saved is None
        assert not form.errors
        page = str(form["people"])
        assert page.count("checked") == 1
        at_hand = page.partition("<details>")[0]
        assert ticked.name in at_hand
        assert found.name in at_hand
        assert at_hand.count('type="checkbox"') == 2
        assert page.count('type="checkbox"') == 400

    def test_the_enter_key_elsewhere_is_no_search(self):
        form = self.form(f"people={self.people[7].pk}&sought=&seek=1")
        assert form.submit()
        assert form.saved == ["Person 007"]

    def test_four_hundred_take_a_query_and_two_screens_of_names(self):
        with self.assertNumQueries(1):
            page = str(self.form()["people"])
        assert page.count("<details>") == 10
        assert page.partition("<details>")[0].count('type="checkbox"') == 10
