from django.test import TestCase

from heritage.gatherings.models import SignUpStatus
from heritage.people.selectors import my_page, people_page
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_volunteer,
)


class PeoplePageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush")

    def page(self):
        return people_page(self.place, NOW)

    def test_one_query_for_two_people_or_twenty(self):
        for count in (0, 20):
            for _ in range(count):
                child = make_volunteer(
                    demonstration=self.place,
                    user=None,
                    age_band="from_13",
                    guardian=self.nora,
                )
                make_sign_up(
                    station=make_station(
                        gathering=make_gathering(demonstration=self.place)
                    ),
                    volunteer=child,
                )
            with self.assertNumQueries(1):
                page = self.page()
                names = {str(person.guardian or "nobody") for person in page.people}
            assert names == ({"nobody", "Nora Bell"} if count else {"nobody"})
            assert len(page.people) == 2 + count

    def test_a_search_finds_part_of_a_name_in_any_case_and_a_number(self):
        make_volunteer(demonstration=self.place, name="Éilis Quin", phone="028 90")
        for wanted, found in [("éil", 1), ("ANN", 1), ("028", 1), ("", 3), ("zz", 0)]:
            page = people_page(self.place, NOW, wanted)
            assert (len(page.people), page.count) == (found, 3), wanted

    def test_places_to_come_are_counted_and_others_are_not(self):
        for status in (SignUpStatus.HELD, SignUpStatus.WAITING, SignUpStatus.GIVEN_UP):
            make_sign_up(
                station=make_station(
                    gathering=make_gathering(demonstration=self.place)
                ),
                volunteer=self.ann,
                status=status,
            )
        off = make_gathering(demonstration=self.place, status="called_off")
        make_sign_up(station=make_station(gathering=off), volunteer=self.ann)
        places = {person.name: person.places_to_come for person in self.page().people}
        assert places == {"Ann Rush": 2, "Nora Bell": 0}

    def test_those_who_left_stand_apart(self):
        gone = make_volunteer(demonstration=self.place, left_at=NOW)
        make_organiser()
        page = self.page()
        assert page.gone == (gone,)
        assert page.people == (self.ann, self.nora)
        assert page.count == 2

    def test_my_page_shows_the_children_who_are_still_here(self):
        child = {"user": None, "age_band": "from_13", "guardian": self.ann}
        joe = make_volunteer(demonstration=self.place, name="Joe", **child)
        make_volunteer(demonstration=self.place, left_at=NOW, **child)
        with self.assertNumQueries(1):
            assert my_page(self.ann).children == (joe,)
