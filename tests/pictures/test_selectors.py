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
        assert [shelf.stage for shelf in wall.shelves] == ["pulling", "retting"]
        days = [picture.taken_on.day for picture in wall.shelves[0].pictures]
        assert days == [9, 11]
        assert wall.count == 3

    def test_members_see_the_rest(self):
        user = make_volunteer(demonstration=self.home).user
        assert selectors.wall(self.home, user).count == 4

    def test_the_newest_first(self):
        newest = selectors.newest_published(self.home, 2)
        assert [picture.taken_on.day for picture in newest] == [12, 11]

    def test_a_wall_costs_one_query_whatever_hangs_on_it(self):
        for _size in (1, 2):
            with self.assertNumQueries(1):
                wall = selectors.wall(self.home, AnonymousUser())
                for shelf in wall.shelves:
                    assert all(picture.small_url for picture in shelf.pictures)
            make_picture(demonstration=self.home)
