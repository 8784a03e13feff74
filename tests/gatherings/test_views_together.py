"""The page to come by, wishes, the lead's page of one place, and the suggestion."""

import re
from datetime import timedelta

from heritage.gatherings.models import SignUp, SignUpStatus
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_organiser,
    make_sign_up,
    make_station,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase

HOUR = timedelta(hours=1)


class TogetherCase(EveningCase):
    """Cat has two children; Spread is a third station with no briefing."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.spread = make_station(gathering=cls.gathering, title="Spread", places=2)
        child = {
            "demonstration": cls.demonstration,
            "user": None,
            "guardian": cls.cat,
            "age_band": "from_13",
        }
        cls.kit = make_volunteer(name="Kit Dow", **child)
        cls.may = make_volunteer(name="May Dow", **child)


class HouseholdTests(TogetherCase):
    def open(self, by):
        return self.page("come", self.gathering.pk, by=by)

    def send_for(self, **fields):
        """Send the form for Cat; each name is a person's and the kind of field."""
        data = {
            f"{kind}_{getattr(self, who).pk}": value
            for (who, kind), value in fields.pop("asks").items()
        }
        return self.send("come", self.gathering.pk, by=self.cat, **data, **fields)

    def entry(self, who):
        return SignUp.objects.live().by(who).first()

    def test_it_asks_for_each_and_says_how_full(self):
        response = self.open(self.cat)
        for words in ("You, Cat Dow", "Kit Dow", "We come only together"):
            self.assertContains(response, words)
        self.assertContains(response, "Spread: 2 places left")
        self.assertContains(response, "a child under 13 only beside their adult")
        self.assertContains(response, "Pull: full, 1 waiting")
        self.assertContains(response, "Other stations, with a briefing of their own")

    def test_all_that_can_be_done_is_done_and_each_is_told(self):
        response = self.send_for(
            asks={
                ("cat", "station"): self.spread.pk,
                ("kit", "station"): self.spread.pk,
                ("may", "station"): self.spread.pk,
                ("cat", "also"): [self.tie.pk],
            }
        )
        self.assertContains(response, "Kit Dow has a place at Spread")
        self.assertContains(response, "May Dow is on the waiting list")
        assert list(self.entry(self.cat).also.all()) == [self.tie]

    def test_only_together_keeps_what_was_typed(self):
        response = self.send_for(
            asks={
                ("cat", "station"): self.spread.pk,
                ("kit", "station"): self.spread.pk,
                ("may", "station"): self.spread.pk,
            },
            only_together="on",
        )
        self.assertContains(response, "nobody has been signed up")
        self.assertContains(response, "Spread has no place for May Dow")
        self.assertContains(
            response, f'<option value="{self.spread.pk}" selected>', count=3
        )
        assert self.entry(self.cat) is None

    def test_nobody_chosen_is_asked_for(self):
        self.assertContains(self.send_for(asks={}), "at least one of you")

    def test_a_station_they_may_not_have_is_refused_by_field(self):
        response = self.send_for(asks={("kit", "station"): self.tie.pk})
        assert list(response.context["form"].errors) == [f"station_{self.kit.pk}"]

    def test_what_changed_meanwhile_is_said_of_the_one_it_hits(self):
        """The page was open when Kit was signed up elsewhere: the form has no Kit."""
        make_sign_up(station=self.spread, volunteer=self.kit)
        response = self.send_for(
            asks={
                ("kit", "station"): self.spread.pk,
                ("may", "station"): self.spread.pk,
            }
        )
        self.assertContains(response, "May Dow has a place")

    def test_a_station_opens_to_who_has_heard_its_briefing(self):
        make_acknowledgement(version=self.briefing.versions.get(), volunteer=self.kit)
        self.send_for(asks={("kit", "station"): self.tie.pk})
        assert self.entry(self.kit).station == self.tie

    def test_who_is_alone_is_not_asked_about_together(self):
        self.assertNotContains(self.open(self.liam), "We come only together")

    def test_signed_up_already_and_closed_say_so(self):
        self.assertContains(self.open(self.bob), "signed up already")
        self.at(self.gathering.starts_at)
        self.assertContains(self.open(self.cat), "no places to take now")

    def test_visitors_sign_in_and_strangers_may_join(self):
        assert self.open(None).status_code == 302
        self.assertContains(self.open(make_organiser()), "I am 18 or over")


class WishTests(TogetherCase):
    def wish(self, *stations, by=None, **data):
        also = [station.pk for station in stations]
        data = {"sign_up": self.held.pk, "also": also} | data
        return self.send("wishes", self.gathering.pk, by=by or self.ann, **data)

    def test_they_are_shown_and_changed_on_the_page(self):
        self.assertContains(
            self.wish(self.spread, self.tie), "The lead sees where else"
        )
        response = self.page("gathering", self.gathering.pk, by=self.ann)
        self.assertContains(response, "You could also help with: Tie, Spread")
        assert re.search(rf'value="{self.tie.pk}"\s+checked', response.content.decode())
        self.wish()
        assert self.held.also.count() == 0

    def test_a_refusal_is_said(self):
        self.assertContains(self.wish(self.tie, by=self.cat), "Only the lead")

    def test_an_old_page_is_said_to_be_old(self):
        self.assertContains(self.wish(sign_up=0), "out of date")


class PlaceTests(TogetherCase):
    def open(self, entry, by=None):
        return self.page("place", self.gathering.pk, entry.pk, by=by or self.liam)

    def test_it_offers_what_can_be_done(self):
        self.held.also.add(self.spread)
        response = self.open(self.held)
        self.assertContains(response, "tel:0285550102")
        self.assertContains(response, "To Spread</button>")
        self.assertContains(response, "they would like to")
        self.assertContains(response, "has not heard the briefing")
        self.assertContains(response, "Take off")

    def test_who_waits_is_given_a_place(self):
        response = self.open(self.turn)
        self.assertContains(response, "Give them a place")
        self.send(
            "move",
            self.gathering.pk,
            by=self.liam,
            sign_up=self.turn.pk,
            station=self.spread.pk,
        )
        self.turn.refresh_from_db()
        assert (self.turn.status, self.turn.station) == ("held", self.spread)

    def test_who_has_not_answered_is_answered_for(self):
        self.held.answer_by = NOW + HOUR
        self.held.save()
        self.assertContains(self.open(self.held), "They have until Wednesday 19:40")
        self.ann.user, self.ann.email = None, ""
        self.ann.save()
        self.assertContains(self.open(self.held), "ask them by")

    def test_a_full_station_says_so(self):
        for _ in range(2):
            make_sign_up(station=self.spread)
        self.assertContains(self.open(self.held), "Move somebody away from it first")

    def test_once_begun_it_leads_to_the_gate_and_once_over_only_shows(self):
        self.at(self.gathering.starts_at)
        page = self.open(self.held)
        self.assertContains(page, "Take off")
        self.assertContains(page, "Put them at another station")
        self.assertNotContains(page, "Move them")
        self.at(self.gathering.ends_at)
        self.assertNotContains(self.open(self.held), "Take off")

    def test_it_is_the_leads_alone(self):
        assert self.open(self.held, by=self.cat).status_code == 404
        self.held.status = SignUpStatus.GIVEN_UP
        self.held.save()
        assert self.open(self.held).status_code == 404


class SuggestionTests(TogetherCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.spread.fewest = 1
        cls.spread.save()
        cls.held.also.add(cls.spread)

    def open(self, by=None):
        return self.page("suggestion", self.gathering.pk, by=by or self.liam)

    def move(self, *moves):
        return self.send("suggestion", self.gathering.pk, by=self.liam, moves=moves)

    def key(self):
        return f"{self.held.pk}-{self.pull.pk}-{self.spread.pk}"

    def test_it_is_a_list_of_moves_with_their_reasons(self):
        response = self.open()
        self.assertContains(response, "Ann Rush")
        self.assertContains(response, "Spread has fewer than it needs.")
        self.assertContains(response, f'value="{self.key()}" checked')
        self.assertContains(response, "Bob Carr (Pull)")

    def test_what_is_left_ticked_is_carried_out(self):
        self.assertContains(self.move(self.key()), "1 person was moved")
        self.held.refresh_from_db()
        self.turn.refresh_from_db()
        assert (self.held.station, self.turn.status) == (self.spread, "held")
        self.assertContains(self.open(), "Nobody needs to move")

    def test_what_cannot_be_done_any_more_is_said(self):
        self.held.also.clear()
        response = self.move(self.key())
        self.assertContains(response, "would not work at Spread any more")
        self.assertContains(response, "Nobody was moved")

    def test_nothing_ticked_and_nonsense_go_back_onto_the_page(self):
        self.assertContains(self.move(), "Leave at least one move ticked")
        for nonsense in ("1-2", "a-b-c"):
            response = self.move(nonsense)
            self.assertContains(response, "out of date")
        self.assertNotContains(response, "checked")

    def test_a_gap_that_stays_says_why(self):
        self.held.also.clear()
        response = self.open()
        self.assertContains(response, "No move mends that")
        self.assertContains(response, "Nobody else has said")

    def test_once_it_has_begun_there_is_nothing_to_suggest(self):
        self.at(self.gathering.starts_at)
        self.assertContains(self.open(), "Places are not changed now")

    def test_a_move_refused_as_a_whole_goes_back_onto_the_page(self):
        self.at(self.gathering.starts_at)
        self.assertContains(self.move(self.key()), "Places are not changed now")

    def test_it_is_the_leads_alone(self):
        assert self.open(by=self.cat).status_code == 404


class MyPlacesTests(TogetherCase):
    def test_the_list_begins_with_ones_own(self):
        response = self.page("list", by=self.bob)
        self.assertContains(response, "My places")
        self.assertContains(response, "1st in the queue")

    def test_an_answer_that_is_due_is_asked_for(self):
        self.held.answer_by = NOW + HOUR
        self.held.save()
        self.assertContains(
            self.page("list", by=self.ann), "Please answer by Wednesday 19:40"
        )

    def test_who_has_none_is_shown_none(self):
        for reader in (None, self.cat):
            self.assertNotContains(self.page("list", by=reader), "My places")
