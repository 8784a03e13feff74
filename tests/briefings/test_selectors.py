from datetime import date, timedelta
from functools import partial

from django.test import TestCase

from heritage.briefings import selectors, services
from heritage.briefings.hazards import selectors as hazards_selectors
from heritage.briefings.hazards import services as hazards_services
from heritage.briefings.hazards.selectors import BAND_WORDS
from heritage.briefings.models import Briefing, Hazard
from heritage.calc import young_people
from heritage.calc.risk import RiskBand
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_emergency_plan,
    make_first_aid_point,
    make_gathering,
    make_hazard,
    make_organiser,
    make_sign_up,
    make_station,
    make_user,
    make_volunteer,
)

TODAY = date(2026, 8, 12)


class HearingTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.ann = make_volunteer(demonstration=cls.place)
        cls.bob = make_volunteer(demonstration=cls.place)
        cls.pulling = make_briefing(demonstration=cls.place, title="Pulling")
        cls.unpublished = make_briefing(demonstration=cls.place, title="Tying")
        cls.version = make_briefing_version(briefing=cls.pulling)
        make_acknowledgement(version=cls.version, volunteer=cls.ann)

    def test_what_was_heard_counts_for_the_current_version_alone(self):
        with self.assertNumQueries(1):
            heard = selectors.heard_pairs([self.ann, self.bob], [self.pulling])
            assert heard == {(self.ann.pk, self.pulling.pk)}
        make_briefing_version(briefing=self.pulling)
        assert selectors.heard_pairs([self.ann], [self.pulling]) == set()

    def test_what_is_missing_is_said_for_everybody_in_one_query(self):
        asked = [self.pulling, self.unpublished]
        with self.assertNumQueries(1):
            missing = selectors.missing_briefings([self.ann, self.bob], asked)
        assert missing == {
            self.ann.pk: (self.unpublished,),
            self.bob.pk: (self.pulling, self.unpublished),
        }

    def test_the_list_hides_drafts_from_volunteers(self):
        with self.assertNumQueries(3):
            lines = selectors.briefing_lines(self.place, self.ann, with_drafts=False)
        assert [(line.version, line.is_heard) for line in lines] == [(1, True)]
        lines = selectors.briefing_lines(self.place, None, with_drafts=True)
        assert [(line.version, line.is_heard) for line in lines] == [
            (1, False),
            (None, False),
        ]

    def test_an_organiser_sees_which_would_say_something_else_today(self):
        """A changed hazard or plan shows at once, at one cost however many."""
        boss = make_organiser(demonstration=self.place)
        hazard = make_hazard(demonstration=self.place)
        for title in ("Carting", "Stooking", "Watering"):
            briefing = make_briefing(demonstration=self.place, title=title)
            briefing.hazards.add(hazard)
            services.publish(briefing=briefing, user=boss.user, now=NOW)

        def changed():
            with self.assertNumQueries(9):
                lines = selectors.briefing_lines(self.place, self.ann, with_drafts=True)
            return [line.briefing.title for line in lines if line.is_changed]

        assert changed() == ["Pulling"], "published in other words than its own"
        self.pulling.hazards.add(hazard)
        services.publish(briefing=self.pulling, user=boss.user, now=NOW)
        assert changed() == []
        Briefing.objects.filter(title="Stooking").update(plan="Only the headland.")
        assert changed() == ["Stooking"]
        Hazard.objects.filter(pk=hazard.pk).update(caution="Keep off the bank.")
        assert changed() == ["Carting", "Pulling", "Stooking", "Watering"]
        lines = selectors.briefing_lines(self.place, self.ann, with_drafts=False)
        assert not any(line.is_changed for line in lines)

    def test_the_page_puts_the_reader_before_their_children(self):
        child = make_volunteer(
            demonstration=self.place,
            user=None,
            name="Aaron",
            age_band="from_13",
            guardian=self.ann,
        )
        with self.assertNumQueries(3):
            page = selectors.briefing_page(self.pulling, self.ann)
        assert [(one.volunteer, one.is_self, one.is_heard) for one in page.hearers] == [
            (self.ann, True, True),
            (child, False, False),
        ]
        assert page.words == self.version.content

    def test_a_page_without_version_or_reader_is_empty(self):
        page = selectors.briefing_page(self.unpublished, None)
        assert (page.version, page.words, page.hearers) == (None, {}, ())

    def test_the_tick_list_costs_the_same_for_two_or_twenty(self):
        for count in (0, 18):
            for _ in range(count):
                person = make_volunteer(demonstration=self.place)
                make_acknowledgement(version=self.version, volunteer=person)
            with self.assertNumQueries(4):
                ticks = selectors.tick_list(self.pulling)
                names = [str(tick.volunteer) for tick in ticks.heard]
            assert len(names) == 1 + count
            assert ticks.waiting == (self.bob,)
            assert ticks.to_hear_again == ()

    def test_before_the_first_version_everybody_waits(self):
        ticks = selectors.tick_list(self.unpublished)
        assert ticks.version_number == 0
        assert set(ticks.waiting) == {self.ann, self.bob}


class HazardPageTests(TestCase):
    def test_two_queries_for_one_hazard_or_for_the_library(self):
        place = make_demonstration()
        make_hazard(demonstration=place, severity=5, likelihood=3)
        for more in (False, True):
            if more:
                services.load_starting_library(
                    demonstration=place, user=make_user(), now=NOW
                )
            with self.assertNumQueries(2):
                page = hazards_selectors.hazard_page(place, TODAY)
                texts = [
                    str(one)
                    for line in page.lines
                    for one in line.hazard.controls.all()
                ]
            assert len(texts) >= len(page.lines) >= 1
        worst = page.lines[0]
        assert worst.before.severity_words == "5, death"
        assert worst.before.likelihood_words == "3, possible"
        assert worst.before.band_words == "too high"
        assert page.without_name == sum(line.lacks_name for line in page.lines) > 0

    def test_the_band_table_has_every_grade_and_every_band(self):
        table = hazards_selectors.band_table()
        assert table[0][0] == "5, death"
        assert [len(cells) for _, cells in table] == [5] * 5
        said = {cell.band_words for _, cells in table for cell in cells}
        assert table[0][1][4].product == 25
        assert len({cell.tag for _, cells in table for cell in cells}) == 3
        assert said == {str(BAND_WORDS[band]) for band in RiskBand}


class HazardsMetTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place}
        cls.dam = make_hazard(
            title="Dam", stages=["retting", "lifting"], works=["tread"], **here
        )
        cls.everywhere = make_hazard(title="Lightning", **here)
        cls.late = make_hazard(
            title="Dust", stages=["scutching"], review_on=date(2026, 8, 11), **here
        )

    def titles(self, **asked):
        page = hazards_selectors.hazard_page(self.place, TODAY, **asked)
        assert page.of_all == 3
        return [line.hazard.title for line in page.lines]

    def test_the_list_is_narrowed_by_stage_and_station(self):
        assert self.titles() == ["Dam", "Dust", "Lightning"]
        assert self.titles(stage="lifting") == ["Dam", "Lightning"]
        assert self.titles(stage="scutching", work="tread") == ["Dust", "Lightning"]
        assert self.titles(work="pull") == ["Dust", "Lightning"]

    def test_where_it_is_met_is_said_in_words(self):
        page = hazards_selectors.hazard_page(self.place, TODAY)
        assert [line.met_at for line in page.lines] == [
            "retting, lifting; tread",
            "scutching",
            "at every stage and station",
        ]

    def test_those_past_their_day_are_counted(self):
        assert hazards_selectors.hazard_page(self.place, TODAY).overdue == 1
        assert hazards_selectors.overdue_hazards(self.place, TODAY) == [self.late]
        assert hazards_selectors.overdue_hazards(self.place, date(2026, 8, 11)) == []

    def test_the_stations_are_those_whose_ages_are_known(self):
        assert set(hazards_selectors.WORK_WORDS) == set(young_people.WORKS) - {"ride"}

    def test_one_hazard_with_its_history_costs_the_same_for_one_change_or_ten(self):
        nora = make_organiser(demonstration=self.place).user
        for count in (1, 9):
            for _ in range(count):
                hazards_services.look_again(hazard=self.dam, note="", by=nora, now=NOW)
            row = Hazard.objects.for_page().get(pk=self.dam.pk)
            with self.assertNumQueries(2):
                page = hazards_selectors.one_hazard(row, TODAY)
                names = [str(line.change.by) for line in page.past]
        assert len(names) == 10
        assert page.past[0].words == "Checked again: nothing to change."

    def test_the_history_is_told_in_words(self):
        nora = make_organiser(demonstration=self.place).user
        said = {"by": nora, "now": NOW}
        judged = {"severity": 3, "likelihood": 3}
        judged |= {"severity_after": 3, "likelihood_after": 2}
        first = {"title": "Mud", "harm": "Falls.", "where": "the lane"} | judged
        keep = partial(hazards_services.keep_hazard, controls=[], **said)
        hazard = keep(hazard=Hazard(demonstration=self.place), values=first)
        later = first | {"works": ["pull", "tie"], "controller": "Nora Bell"}
        keep(hazard=hazard, values=later)
        hazards_services.delete_hazard(hazard=hazard, **said)
        gone, changed, written = hazards_selectors.changes(self.place)
        assert (written.words, written.fields) == ("Added.", ())
        assert [(one.field, one.before, one.after) for one in changed.fields] == [
            ("who looks after it", "nothing", "Nora Bell"),
            ("at these stations", "nothing", "pull; tie"),
        ]
        assert gone.words == "Deleted. It said:"
        assert gone.fields[0].after == "nothing"


class WordsTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place)
        cls.briefing = make_briefing(demonstration=cls.place)
        cls.briefing.hazards.add(
            make_hazard(demonstration=cls.place, caution="Keep out of the water.")
        )

    def test_the_words_hold_the_hazards_cautions_and_rules(self):
        words = selectors.words_of(self.briefing)
        assert words["cautions"][0]["text"] == "Keep out of the water."
        assert words["hazards"][0]["controller"] == "Nora Bell"
        assert words["jurisdiction"] == "Northern Ireland"
        assert any(
            "30 minutes after the last thunder" in r for r in words["stop_rules"]
        )

    def test_nothing_is_changed_until_something_is(self):
        version = services.publish(briefing=self.briefing, user=self.nora.user, now=NOW)
        assert not selectors.has_changed(self.briefing, version)
        self.briefing.task = "Pull by hand, slowly."
        assert selectors.has_changed(self.briefing, version)
        assert selectors.has_changed(self.briefing, None)

    def test_the_general_cautions_carry_the_main_dangers(self):
        texts = " ".join(one.text for one in hazards_selectors.general_cautions())
        for words in ("alone", "Don't jump in", "30 minutes", "guard"):
            assert words in texts
        rules = hazards_selectors.young_people_rules("ni")
        assert {rule.least_age for rule in rules.published} == {0, 13}
        assert {rule.least_age for rule in rules.kept} == {16, 18}


class PartsTests(TestCase):
    """The fixed parts of a briefing, and where the emergency plan answers."""

    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place)
        here = {"demonstration": cls.place}
        cls.briefing = make_briefing(title="Tying", hospital="The Royal", **here)
        cls.briefing.hazards.add(make_hazard(title="Deep water", **here))

    def plan(self):
        make_first_aid_point(demonstration=self.place, place="Gate", holds="kit")
        make_first_aid_point(demonstration=self.place, place="Shed")
        return make_emergency_plan(
            demonstration=self.place,
            hospital="The Mater",
            grid_reference="J 123 456",
            calls="Nora Bell",
            way_in="By the lane",
        )

    def test_without_a_plan_a_part_left_open_stays_open(self):
        words = selectors.words_of(self.briefing)
        assert words["grid_reference"] == ""
        assert "Grid reference" in selectors.open_parts(words)
        assert ("Nearest hospital", "The Royal") in selectors.parts_of(words)

    def test_the_plan_answers_what_the_briefing_leaves_open(self):
        self.plan()
        words = selectors.words_of(self.briefing)
        assert words["grid_reference"] == "J 123 456"
        assert words["hospital"] == "The Royal"
        assert words["first_aid"] == "Gate: kit; Shed"
        assert words["emergency"] == "Nora Bell; 999 or 112; By the lane"

    def test_a_changed_plan_changes_the_briefing(self):
        version = services.publish(briefing=self.briefing, user=self.nora.user, now=NOW)
        assert not selectors.has_changed(self.briefing, version)
        self.plan()
        assert selectors.has_changed(self.briefing, version)

    def test_a_part_that_an_old_version_did_not_know_changes_nothing(self):
        version = services.publish(briefing=self.briefing, user=self.nora.user, now=NOW)
        del version.content["photos"]
        assert not selectors.has_changed(self.briefing, version)

    def test_every_part_that_a_briefing_must_have_is_there(self):
        """The list of a briefing's fields: toolbox talks and councils' stewards."""
        named = {name for name, _label in selectors.PARTS}
        assert named == {
            "plan", "in_charge", "stop_signal", "no_go", "machine_stop", "lifting",
            "clothing", "weather", "not_for", "first_aid", "aed", "hospital",
            "emergency", "grid_reference", "assembly_point", "lost_child", "welfare",
            "photos",
        }  # fmt: skip

    def test_how_hard_it_is_to_read_is_said(self):
        ease = selectors.ease_of(selectors.words_of(self.briefing))
        assert ease.words.startswith("Reading grade ")
        assert ease.warnings == ()
        assert selectors.ease_of({}) is None
        hard = {"task": "Immediately communicate deteriorating meteorological matters."}
        hard["hazards"] = [{"title": "A", "harm": "B", "controls": ["Stop."] * 8}]
        warned = selectors.ease_of(hard).warnings
        assert any("Reading grade" in words for words in warned)
        assert any("8 points" in words for words in warned)


class PlacedTests(TestCase):
    """Who needs to hear a briefing, and where next."""

    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.briefing = make_briefing(demonstration=cls.place)
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann")
        cls.bob = make_volunteer(demonstration=cls.place, name="Bob")
        cls.cat = make_volunteer(demonstration=cls.place, name="Cat")
        for person, hours, status in (
            (cls.ann, 48, "held"),
            (cls.ann, 24, "held"),
            (cls.bob, 24, "waiting"),
            (cls.cat, 6, "held"),
            (cls.bob, -24, "held"),
        ):
            starts = NOW + timedelta(hours=hours)
            station = make_station(
                gathering=make_gathering(
                    demonstration=cls.place,
                    title=f"In {hours}",
                    starts_at=starts,
                    ends_at=starts + timedelta(hours=2),
                ),
                briefing=cls.briefing,
            )
            make_sign_up(station=station, volunteer=person, status=status)

    def test_the_soonest_place_held_is_named(self):
        with self.assertNumQueries(2):
            places = selectors.places_asking(self.briefing, NOW)
        assert {key: place.gathering for key, place in places.items()} == {
            self.ann.pk: "In 24",
            self.cat.pk: "In 6",
        }

    def test_those_with_a_place_come_first_the_soonest_of_all(self):
        people = [self.bob, self.ann, self.cat]
        again = selectors.voided(people, self.briefing, NOW)
        assert [one.volunteer.name for one in again] == ["Cat", "Ann", "Bob"]
        assert again[2].place is None
