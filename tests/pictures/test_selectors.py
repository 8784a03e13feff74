"""Pictures by stage, in the crop's order."""

from datetime import date

from django.contrib.auth.models import AnonymousUser
from django.test import TestCase

from heritage.pictures import selectors
from heritage.season.models import Stage
from tests.factories import make_demonstration, make_picture, make_volunteer


class WallTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home = make_demonstration()
        for stage, day in (
            (Stage.RETTING, date(2026, 8, 12)),
            (Stage.PULLING, date(2026, 8, 11)),
            (Stage.PULLING, date(2026, 8, 9)),
        ):
            make_picture(demonstration=cls.home, stage=stage, taken_on=day)
        make_picture(demonstration=cls.home, is_published=False)
        make_picture()

    def test_stages_in_their_order_and_days_in_theirs(self):
        wall = selectors.wall(self.home, AnonymousUser())
        assert [(one.stage, one.count) for one in wall.shelves] == [
            ("pulling", 2),
            ("retting", 1),
        ]
        assert [one.taken_on.day for one in wall.shelves[0].pictures] == [9]
        assert (wall.count, wall.page) == (3, None)
        found = selectors.found(self.home, AnonymousUser(), {"stage": "pulling"})
        assert [one.taken_on.day for one in found.shelves[0].pictures] == [9, 11]

    def test_members_see_the_rest(self):
        user = make_volunteer(demonstration=self.home).user
        assert selectors.wall(self.home, user).count == 4

    def test_the_newest_first(self):
        newest = selectors.newest_published(self.home, 2)
        assert [picture.taken_on.day for picture in newest] == [12, 11]

    def test_what_is_found_comes_a_page_at_a_time_in_the_order_of_the_stages(self):
        for _number in range(selectors.ON_A_PAGE):
            make_picture(demonstration=self.home, stage=Stage.STOOKING)
        first = selectors.found(self.home, AnonymousUser(), {"words": "fenn"}, "1")
        second = selectors.found(self.home, AnonymousUser(), {"words": "fenn"}, "2")
        assert first.count == second.count == selectors.ON_A_PAGE + 3
        shown = [
            [(shelf.stage, len(shelf.pictures)) for shelf in found.shelves]
            for found in (first, second)
        ]
        more = selectors.ON_A_PAGE - 2
        assert shown == [
            [("pulling", 2), ("stooking", more)],
            [("stooking", 2), ("retting", 1)],
        ]
        assert (second.page.number, second.page.paginator.num_pages) == (2, 2)

    def test_a_wall_costs_two_queries_whatever_hangs_on_it(self):
        for _size in (1, 2):
            for asked in ({}, {"words": "fenn"}):
                with self.assertNumQueries(2):
                    wall = (
                        selectors.found(self.home, AnonymousUser(), asked)
                        if asked
                        else selectors.wall(self.home, AnonymousUser())
                    )
                    for shelf in wall.shelves:
                        assert all(picture.small_url for picture in shelf.pictures)
            make_picture(demonstration=self.home)
