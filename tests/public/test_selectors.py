from datetime import UTC, datetime, timedelta

import pytest
from django.contrib.auth.models import AnonymousUser
from django.test import SimpleTestCase, TestCase
from django.utils.formats import date_format

from heritage.common.access import Role
from heritage.dam.models import Ret
from heritage.gatherings.models import Gathering, GatheringStatus
from heritage.public import selectors, words
from heritage.public.process.selectors import process_page, process_season
from heritage.public.process.words import names, sheets_of
from heritage.public.shelf import selectors as shelf_selectors
from heritage.season.models import Jurisdiction, Stage
from tests.factories import (
    NOW,
    make_briefing,
    make_briefing_version,
    make_dam,
    make_demonstration,
    make_entry,
    make_gathering,
    make_organiser,
    make_picture,
    make_plot,
    make_reading,
    make_ret,
    make_rota_plan,
    make_sign_up,
    make_station,
    make_user,
    make_volunteer,
)

NOBODY = AnonymousUser()
A_DAY = timedelta(days=1)
# Pictures, tally (2), growth (4), lots (5), season (2), dams (7), gatherings (3).
QUERIES = 24


def later(days: int) -> dict:
    starts = NOW + days * A_DAY
    return {"starts_at": starts, "ends_at": starts + timedelta(hours=2)}


class HomeTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.old = make_demonstration(name="Old", year=2025)
        cls.new = make_demonstration(name="New", year=2026)
        cls.shut = make_demonstration(name="Shut", is_public=False)
        cls.member = make_volunteer(demonstration=cls.shut)

    def names(self, lines):
        return [line.demonstration.name for line in lines]

    def test_a_visitor_sees_the_open_ones_the_newest_first(self):
        page = selectors.home(NOBODY, NOW)
        assert self.names(page.open) == ["New", "Old"]
        assert page.mine == []

    def test_ones_own_are_apart_even_where_visitors_may_not_look(self):
        page = selectors.home(self.member.user, NOW)
        assert self.names(page.mine) == ["Shut"]
        assert self.names(page.open) == ["New", "Old"]

    def test_who_has_left_is_a_visitor_again(self):
        gone = make_volunteer(demonstration=self.shut, left_at=NOW)
        assert selectors.home(gone.user, NOW).mine == []

    def test_a_keeper_belongs_to_none_but_sees_all(self):
        page = selectors.home(make_user(is_staff=True), NOW)
        assert page.mine == []
        assert sorted(self.names(page.open)) == ["New", "Old", "Shut"]

    def test_the_next_gathering_is_the_nearest_that_goes_ahead(self):
        make_gathering(demonstration=self.new, title="Past", **later(-3))
        make_gathering(demonstration=self.new, title="Later", **later(3))
        make_gathering(demonstration=self.new, title="Nearest", **later(2))
        for status in (GatheringStatus.CALLED_OFF, GatheringStatus.DRAFT):
            make_gathering(demonstration=self.new, status=status, **later(1))
        new, old = selectors.home(NOBODY, NOW).open
        assert new.next_up.title == "Nearest"
        assert old.next_up is None

    def test_the_page_costs_the_same_for_few_and_for_many(self):
        make_gathering(demonstration=self.new)
        with self.assertNumQueries(3):
            selectors.home(NOBODY, NOW)
        with self.assertNumQueries(4):
            selectors.home(self.member.user, NOW)
        for _ in range(25):
            make_gathering(demonstration=make_demonstration())
        with self.assertNumQueries(3):
            page = selectors.home(NOBODY, NOW, "2")
        assert len(page.open) == 7


class FrontTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()

    def page(self, user=NOBODY):
        return selectors.front(self.place, user, NOW)

    def fill(self, count):
        for _ in range(count):
            make_plot(demonstration=self.place)
            make_picture(demonstration=self.place)
            make_reading(ret=make_ret(dam=make_dam(demonstration=self.place)))
            gathering = make_gathering(demonstration=self.place)
            make_sign_up(station=make_station(gathering=gathering))
            make_entry(gathering=gathering)

    def test_the_page_costs_the_same_for_few_and_for_many(self):
        self.fill(1)
        with self.assertNumQueries(QUERIES):
            self.page()
        self.fill(6)
        with self.assertNumQueries(QUERIES):
            page = self.page()
        assert len(page.dates) == 4
        assert len(page.others) == 2

    def test_only_published_pictures_are_shown(self):
        make_picture(demonstration=self.place, is_published=False)
        assert self.page().pictures == ()

    def test_a_draft_is_not_shown_but_what_is_called_off_is(self):
        make_gathering(demonstration=self.place, status=GatheringStatus.DRAFT)
        off = make_gathering(
            demonstration=self.place, status=GatheringStatus.CALLED_OFF
        )
        assert [line.gathering for line in self.page().dates] == [off]

    def test_an_empty_dam_is_not_spoken_of(self):
        make_dam(demonstration=self.place)
        assert self.page().dams == []

    def test_unread_water_has_a_day_and_no_figure(self):
        dam = make_dam(demonstration=self.place, name="The low dam")
        make_ret(dam=dam, began_at=NOW - 8 * A_DAY)
        (water,) = self.page().dams
        assert (water.dam, water.day) == ("The low dam", 9)
        assert water.low_percent is None
        assert not water.is_far_along

    def test_read_water_gives_a_range_and_never_a_day(self):
        """Five days at 16 °C are half a likely ret of 10.1: ÷ 1.47 and ÷ 0.68."""
        ret = make_ret(dam=make_dam(demonstration=self.place), began_at=NOW - 5 * A_DAY)
        for days in range(6):
            make_reading(ret=ret, at=NOW - days * A_DAY, temp_c="16.0")
        make_reading(ret=ret, at=NOW - A_DAY / 2, temp_c="16.0")
        (water,) = self.page().dams
        assert (water.low_percent, water.high_percent) == (34, 73)
        assert not water.is_far_along

    def test_late_water_may_be_ready_and_never_passes_a_hundred(self):
        ret = make_ret(
            dam=make_dam(demonstration=self.place), began_at=NOW - 30 * A_DAY
        )
        for days in (30, 15, 0):
            make_reading(ret=ret, at=NOW - days * A_DAY, temp_c="18.0")
        (water,) = self.page().dams
        assert water.high_percent == 100
        assert water.is_far_along


class WordsTests(SimpleTestCase):
    def test_hands_are_wanted_in_two_or_three_words(self):
        def said(**figures):
            return words.hands_wanted(**({"places": 9, "short": 0} | figures))

        assert said(free=7) == "Room for 7"
        assert said(free=1) == "Room for one more"
        assert said(free=0) == "Full. There's a waiting list"
        assert said(short=1, free=4) == "One more needed"
        assert said(short=3, free=4) == "3 more needed"
        assert said(places=0, free=0) == "Just come"

    def test_a_day_is_named_as_near_as_people_do(self):
        starts = datetime(2026, 8, 12, 18, 45, tzinfo=UTC)
        ends = starts + timedelta(hours=2)
        for ahead, expected in (
            (timedelta(hours=-1), "now, until 20:45"),
            (timedelta(hours=1), "tonight at 18:45"),
            (timedelta(hours=20), "tomorrow at 18:45"),
            (timedelta(days=9), "on Wednesday 12 August at 18:45"),
        ):
            assert words.when(starts, ends, starts - ahead) == expected


OF_A_SHEET = 15


@pytest.mark.any_database
class ProcessPageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(beets_per_stook=6)

    def page(self, stage=Stage.STOOKING):
        return process_page(self.place, stage.value, NOW)

    def test_a_whole_season_costs_what_a_sheet_does(self):
        make_picture(demonstration=self.place, stage=Stage.STOOKING)
        with self.assertNumQueries(OF_A_SHEET):
            assert self.page().number == 5
        with self.assertNumQueries(OF_A_SHEET):
            season = process_season(self.place, NOW)
        with self.assertNumQueries(0):
            assert [season.page(name).text.name for name in names()] == names()

    def test_it_tells_the_season_so_far(self):
        make_entry(gathering=make_gathering(demonstration=self.place), beets=7)
        make_ret(dam=make_dam(demonstration=self.place, name="The low dam"))
        assert "7 beets tied" in self.page(Stage.PULLING).here
        (told,) = self.page(Stage.RETTING).here[-1:]
        assert told.startswith("The low dam: day ")

    def test_the_first_published_picture_of_the_stage_is_taken(self):
        here = {"demonstration": self.place}
        make_picture(stage=Stage.STOOKING, taken_on="2026-08-01", **here)
        first = make_picture(
            stage=Stage.STOOKING, taken_on="2026-08-03", place=1, **here
        )
        make_picture(stage=Stage.STOOKING, is_published=False, **here)
        make_picture(stage=Stage.PULLING, taken_on="2026-08-09", **here)
        make_picture(stage=Stage.STOOKING, taken_on="2026-08-09")
        assert self.page().picture == first

    def test_the_measure_of_the_place_is_put_in(self):
        text = self.page().text
        assert "Make up each stook to 6 beets: that is how it is counted here." in (
            text.how
        )
        assert text.words == (("Stook", "6 beets, here"),)

    def test_whom_to_call_follows_the_place(self):
        dam = self.page(Stage.FILLING_THE_DAM).text
        assert any("call 999 or 112, talk" in words for _, words in dam.cautions)
        self.place.jurisdiction = Jurisdiction.ELSEWHERE
        dam = self.page(Stage.FILLING_THE_DAM).text
        assert any("call the emergency number" in words for _, words in dam.cautions)


class ShelfTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place}
        cls.ann, cls.nora = make_volunteer(**here), make_organiser(**here)
        cls.hugh = make_volunteer(**here)
        cls.led = make_gathering(title="Led", lead=cls.hugh, **here)
        make_gathering(title="Not led", **here)
        make_gathering(title="Off", status=GatheringStatus.CALLED_OFF, **here)
        make_ret(dam=make_dam(name="The low dam", **here))
        make_ret(dam=make_dam(**here), lifted_at=NOW)
        cls.briefing = make_briefing(title="By the water", **here)
        make_briefing_version(briefing=cls.briefing)
        make_briefing_version(briefing=cls.briefing)
        make_briefing(title="Not published", **here)

    def page(self, user=NOBODY, role=Role.VISITOR, volunteer=None):
        return shelf_selectors.shelf_page(self.place, user, role, volunteer, NOW)

    def packs(self, *who):
        return {one.name: one for one in self.page(*who).packs}

    def shelves(self, *who):
        found = self.page(*who).shelves
        return {shelf.title: [one.title for one in shelf.sheets] for shelf in found}

    def test_a_visitor_may_print_the_process_sheets_and_the_posters(self):
        shelves = self.shelves()
        posters = shelves.pop("To invite people: posters")
        assert posters == ["Led", "Not led"]
        sheets = [title for titles in shelves.values() for title in titles]
        assert sheets == [
            *(text.heading for stage in Stage for text in sheets_of(stage)),
            "From seed to fibre",
            "Cards for children",
        ]

    def test_a_visitor_prints_for_the_hall_and_for_a_school_in_one_press(self):
        page = self.page()
        assert [one.name for one in page.packs] == ["hall", "school"]
        # What hangs in a hall is large already.
        assert [one.name for one in page.large_packs] == ["school"]

    def test_a_volunteer_may_print_briefings_dam_logs_and_a_statement(self):
        shelves = self.shelves(self.ann.user, Role.VOLUNTEER, self.ann)
        assert shelves["For other evenings"] == ["Safety briefing: By the water"]
        assert shelves["At the dam"] == ["The low dam"]
        assert shelves["In the store and the shed"] == [
            "Checks of the store",
            "Breaking, scutching, hackling",
        ]
        assert shelves["In the field"] == ["Looking at the crop"]
        assert shelves["At the end"] == ["My statement"]
        assert self.signed(self.ann, Role.VOLUNTEER) == []

    def signed(self, person, role):
        """Return which evenings' sheets somebody may print, of all they may print."""
        shelves = self.page(person.user, role, person).shelves
        every = [one for shelf in shelves for one in shelf.sheets]
        return [one.title for one in every if one.url.endswith("/sign-in-sheet/")]

    def test_a_lead_may_print_the_sign_in_sheet_of_their_own(self):
        assert self.signed(self.hugh, Role.VOLUNTEER) == ["Led"]

    def test_an_organiser_may_print_all_of_them(self):
        assert self.signed(self.nora, Role.ORGANISER) == ["Led", "Not led"]

    def test_an_organiser_prints_everybodys_once_there_is_anything_in_the_book(self):
        nora = (self.nora.user, Role.ORGANISER, self.nora)
        assert self.shelves(*nora)["At the end"] == ["My statement"]
        make_entry(gathering=self.led, volunteer=self.ann)
        assert self.shelves(*nora)["At the end"][1:] == [
            "All statements",
            "All thank-you sheets",
            "The season's report",
        ]

    def test_for_the_next_evening_is_what_its_gate_wants_and_no_more(self):
        """The sign-in sheet, what its stations hear, the emergency, and the water."""
        make_station(gathering=self.led, briefing=self.briefing)
        tonight = self.packs(self.nora.user, Role.ORGANISER, self.nora)["tonight"]
        assert [one.title for one in tonight.sheets] == [
            "Led",
            "Safety briefing: By the water",
            "Emergency sheet",
            "Lost or found child",
            "Stewards",
            "The low dam",
        ]
        day = date_format(self.led.starts_at.astimezone(self.place.zone), "l j F")
        assert tonight.title == f"Everything for {day}"
        shelves = self.shelves(self.nora.user, Role.ORGANISER, self.nora)
        assert shelves[f"For {day}"] == [one.title for one in tonight.sheets[:-1]]
        assert shelves["For other evenings"] == ["Not led"]

    def test_the_next_evening_is_tonight_on_its_day_and_any_where_none_is_posted(self):
        def title():
            (one, *_) = self.page(self.nora.user, Role.ORGANISER, self.nora).packs
            return one.title

        Gathering.objects.update(starts_at=NOW, ends_at=NOW + timedelta(hours=2))
        assert title() == "Everything for tonight"
        Gathering.objects.update(status=GatheringStatus.CALLED_OFF)
        assert title() == "Everything for any evening"

    def test_a_keeper_has_no_statement(self):
        shelves = self.shelves(make_user(is_staff=True), Role.KEEPER)
        assert "My statement" not in shelves.get("At the end", [])
        assert "At the dam" in shelves

    def test_the_shelf_costs_the_same_for_few_and_for_many(self):
        with self.assertNumQueries(2):
            self.page()
        with self.assertNumQueries(12):
            self.page(self.nora.user, Role.ORGANISER, self.nora)
        for _ in range(5):
            make_gathering(demonstration=self.place)
            make_ret(dam=make_dam(demonstration=self.place))
        with self.assertNumQueries(12):
            shelves = self.shelves(self.nora.user, Role.ORGANISER, self.nora)
        assert len(shelves["At the dam"]) == 6

    def test_pictures_are_offered_on_paper_once_some_are_shown(self):
        title = "For the hall and the newspapers: pictures"
        assert title not in self.shelves()
        make_picture(demonstration=self.place)
        assert self.shelves()[title] == ["Panels", "Album"]
        everything = self.page(self.nora.user, Role.ORGANISER, self.nora).shelves
        (shown,) = (shelf.sheets for shelf in everything if shelf.title == title)
        assert {"For the press", "Contact sheet"} <= {one.title for one in shown}
        # What hangs up is asked for on either paper.
        for hung in ("Panels", "Labels for an exhibition"):
            assert [one.a3[-5:] for one in shown if one.title == hung] == ["?a3=1"]

    def test_a_ret_with_a_plan_has_its_rota_on_the_shelf(self):
        make_rota_plan(ret=Ret.objects.get(dam__name="The low dam"))
        shelves = self.shelves(self.ann.user, Role.VOLUNTEER, self.ann)
        assert "Treading rota: The low dam" in shelves["At the dam"]

    def test_large_print_is_asked_for_by_a_query(self):
        (shelf, *_) = self.page().shelves
        assert shelf.sheets[0].large == f"{shelf.sheets[0].url}?large=1"


class PosterTests(TestCase):
    def standing(self, gathering):
        with self.assertNumQueries(3):
            return selectors.poster(gathering).standing

    def test_a_poster_knows_whether_the_gathering_stands(self):
        gathering = make_gathering()
        assert self.standing(gathering) == ""
        gathering.calls.create(
            decision="hold", advice="hold", made_at=NOW, made_by=make_user()
        )
        assert self.standing(gathering) == "hold"
        gathering.status = GatheringStatus.CALLED_OFF
        assert self.standing(gathering) == "off"
