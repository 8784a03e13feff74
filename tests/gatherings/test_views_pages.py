"""The list, the page and its buttons, by who is looking."""

import re
from datetime import timedelta
from io import BytesIO
from uuid import uuid4

from django.urls import reverse
from pypdf import PdfReader

from heritage.gatherings.models import GatheringStatus, SignUp, SignUpStatus
from tests.factories import (
    NOW,
    make_gathering,
    make_organiser,
    make_turnout,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase

LEADS = ("call", "gate", "sign_in_sheet")
ORGANISES = ("edit", "copy")


class DoorTests(EveningCase):
    def status(self, view, by):
        return self.page(view, self.gathering.pk, by=by).status_code

    def test_what_a_lead_opens_is_nowhere_for_other_volunteers(self):
        for view in LEADS:
            # The gate stands on the gathering's own page.
            opened = 302 if view == "gate" else 200
            assert self.status(view, self.liam) == opened
            assert self.status(view, self.nora) == opened
            assert self.status(view, self.cat) == 404

    def test_what_an_organiser_opens_is_refused_to_the_others(self):
        for view in ORGANISES:
            assert self.status(view, self.nora) == 200
            assert self.status(view, self.liam) == 403

    def test_strangers_are_refused_and_visitors_asked_to_sign_in(self):
        for view in LEADS + ORGANISES:
            for stranger in (make_volunteer(), make_organiser()):
                assert self.status(view, stranger) == 403
            assert self.status(view, None) == 302

    def test_a_gathering_of_another_place_is_not_found_here(self):
        elsewhere = make_gathering()
        for view in ("gathering", *LEADS, *ORGANISES):
            assert self.page(view, elsewhere.pk, by=self.nora).status_code == 404

    def test_a_draft_is_not_found_but_by_organisers(self):
        self.gathering.status = GatheringStatus.DRAFT
        self.gathering.save()
        assert self.status("gathering", self.cat) == 404
        self.assertContains(
            self.page("gathering", self.gathering.pk, by=self.nora), "Only organisers"
        )

    def test_no_page_is_kept_by_the_browser(self):
        response = self.page("gathering", self.gathering.pk, by=self.ann)
        assert "no-store" in response["Cache-Control"]
        assert "private" in response["Cache-Control"]

    def test_buttons_are_pressed_not_opened(self):
        for view in ("sign_up", "give_up", "move", "pass_gate", "delete"):
            response = self.page(view, self.gathering.pk, by=self.nora)
            assert response.status_code == 405


class ListTests(EveningCase):
    def test_it_says_when_where_how_full_and_how_light(self):
        response = self.page("list")
        self.assertContains(response, "Pulling by the lane")
        self.assertContains(response, "18:30 to 20:30")
        self.assertContains(response, "2 places left")
        self.assertContains(response, "Sunset 21:01, stop at 21:28")

    def test_what_is_over_stands_below(self):
        self.at(self.gathering.ends_at + timedelta(minutes=1))
        response = self.page("list")
        self.assertContains(response, "Nothing is posted yet")
        assert [line.gathering for line in response.context["past"]] == [self.gathering]


class PageTests(EveningCase):
    def open(self, by=None):
        return self.page("gathering", self.gathering.pk, by=by)

    def test_a_visitor_reads_no_names(self):
        response = self.open()
        for name in ("Ann Rush", "Bob Carr", "Liam Orr", "Torin Rush"):
            self.assertNotContains(response, name)
        self.assertContains(response, "1 waiting")
        self.assertContains(response, "Send me a code")

    def test_somebody_of_another_place_is_asked_to_come(self):
        response = self.open(make_volunteer())
        self.assertNotContains(response, "Ann Rush")
        self.assertContains(response, "Take a place")

    def test_a_volunteer_reads_names_but_no_telephone_numbers(self):
        response = self.open(self.cat)
        self.assertContains(response, "Ann Rush")
        self.assertNotContains(response, "Here: ")
        self.assertNotContains(response, self.ann.phone)

    def test_the_lead_reads_how_to_reach_people(self):
        # Its parts stay on one line.
        told = self.ann.phone.replace(" ", "\N{NO-BREAK SPACE}")
        self.assertContains(self.open(self.liam), told)

    def test_each_station_says_one_thing_about_age(self):
        response = self.open()
        self.assertContains(response, "Age 13 and over.")
        self.assertNotContains(response, "Any age")

    def test_the_drawing_and_the_words_tell_the_same_minute(self):
        response = self.open()
        for words in ("Sunset 21:01", "Stop 21:28", "Stop at 21:28</strong>"):
            self.assertContains(response, words)

    def test_a_page_bears_a_night_that_never_darkens(self):
        self.demonstration.latitude = 75
        self.demonstration.save()
        self.gathering.starts_at = self.gathering.starts_at.replace(month=6)
        self.gathering.ends_at = self.gathering.ends_at.replace(month=6)
        self.gathering.save()
        self.assertContains(self.open(), "It does not get dark that night")

    def test_a_full_station_offers_its_waiting_list(self):
        self.assertContains(self.open(self.cat), "Join the waiting list: Pull")

    def test_the_briefing_to_hear_is_offered_once(self):
        self.assertContains(self.open(self.cat), "Read it and take a place", count=1)

    def test_what_all_stations_ask_to_be_heard_is_said_once(self):
        words = "You read the safety briefing when you sign up"
        stations = self.gathering.stations.all()
        assert len(stations) > 1
        stations.update(briefing=self.briefing)
        self.assertContains(self.open(), words, count=1)
        stations.filter(pk=self.tie.pk).update(briefing=None)
        self.assertContains(self.open(), words, count=len(stations) - 1)

    def test_a_child_is_signed_up_from_the_guardians_page(self):
        self.assertContains(self.open(self.ann), "Torin Rush")

    def test_signing_up_closes_when_it_begins(self):
        self.at(self.gathering.starts_at)
        response = self.open(self.cat)
        self.assertContains(response, "Ask the lead at the gate to add you")
        self.assertContains(response, f"evening/{self.gathering.pk}/mine/")
        self.assertNotContains(response, "Join the waiting list")


class HandsTests(EveningCase):
    """How many more are wanted: said while it matters, and one way round."""

    def open(self, by):
        return self.page("gathering", self.gathering.pk, by=by)

    def test_the_lead_reads_how_many_places_are_taken(self):
        self.assertContains(self.open(self.liam), "0 of 2 taken")

    def test_what_is_over_or_off_wants_nobody(self):
        self.tie.fewest = 2
        self.tie.save()
        for reader in (self.cat, self.liam):
            self.assertContains(self.open(reader), "2 more needed")
        self.gathering.status = GatheringStatus.CALLED_OFF
        self.gathering.save()
        said = ("more needed", "places left", "needs 2")
        for reader in (self.cat, self.liam):
            for words in said:
                self.assertNotContains(self.open(reader), words)
        self.gathering.status = GatheringStatus.POSTED
        self.gathering.save()
        self.at(self.gathering.ends_at)
        said += ("before people come", "Ask the lead at the gate to add you")
        for reader in (self.cat, self.liam):
            for words in said:
                self.assertNotContains(self.open(reader), words)


class WhileItIsOnTests(EveningCase):
    """The same page, while it is on and when it is over."""

    def setUp(self):
        super().setUp()
        self.at(self.gathering.starts_at + timedelta(minutes=10))
        came = self.gathering.starts_at
        make_turnout(
            gathering=self.gathering, volunteer=self.ann, arrived_at=came, left_at=None
        )

    def open(self, by):
        return self.page("gathering", self.gathering.pk, by=by)

    def add_one(self, key, by):
        self.client.force_login(by.user)
        args = [self.demonstration.slug, self.gathering.pk]
        said = {"volunteer": self.ann.pk, "key": key}
        return self.client.post(reverse("tally:one_more", args=args), said)

    def test_the_lead_sees_who_is_here_and_one_press_adds_a_beet(self):
        page = self.open(self.liam)
        for words in ("0 beets,", "1 of us here", "Everybody out", "Thunder", "+1"):
            self.assertContains(page, words)
        seen = re.sub(r'<span class="visually-hidden">.*?</span>', "", page.text)
        # What a field suggests while somebody types is not shown.
        seen = re.sub(r"<datalist.*?</datalist>", "", seen, flags=re.DOTALL)
        assert seen.count("Ann Rush") == 1
        for _ in range(2):
            self.add_one(page.context["key"], self.liam)
        self.assertContains(self.open(self.liam), "1 beet,")

    def test_nobody_else_counts_or_calls_out(self):
        page = self.open(self.cat)
        self.assertNotContains(page, "+1")
        self.assertNotContains(page, "Everybody out")
        assert self.add_one(uuid4(), self.cat).status_code == 404

    def test_it_stays_so_while_somebody_is_in_the_field(self):
        self.at(self.gathering.ends_at + timedelta(minutes=20))
        self.assertContains(self.open(self.liam), "Everybody out")
        self.gathering.turnout.update(left_at=self.gathering.ends_at)
        page = self.open(self.liam)
        self.assertNotContains(page, "Everybody out")
        self.assertContains(page, "Close the evening")

    def test_when_it_is_over_it_says_what_it_brought_and_what_was_yours(self):
        self.add_one(uuid4(), self.liam)
        self.gathering.turnout.update(left_at=self.gathering.ends_at)
        self.at(self.gathering.ends_at + timedelta(hours=1))
        page = self.open(self.ann)
        for words in ("1 beet. Thank you", "One of us came.", "One of them is yours."):
            self.assertContains(page, words)
        self.gathering.closed_at = self.gathering.ends_at
        self.gathering.save()
        self.assertContains(self.open(self.liam), "Add pictures")


class ButtonTests(EveningCase):
    def ask(self, volunteer, station, by=None):
        return self.send(
            "sign_up",
            self.gathering.pk,
            by=by or volunteer,
            station=station.pk,
            volunteer=volunteer.pk,
        )

    def test_signing_up_answers_with_what_came_of_it(self):
        self.assertContains(self.ask(self.cat, self.pull), "on the waiting list")

    def test_a_place_is_kept(self):
        self.tie.briefing = None
        self.tie.save()
        self.assertContains(self.ask(self.cat, self.tie), "Cat Dow has a place at Tie")

    def test_a_refusal_says_why(self):
        self.assertContains(self.ask(self.cat, self.tie), "has not heard the briefing")
        assert not SignUp.objects.by(self.cat).exists()

    def test_nobody_signs_up_their_neighbour(self):
        response = self.ask(self.cat, self.pull, by=self.bob)
        self.assertContains(response, "Only the lead or an organiser")

    def test_a_page_out_of_date_says_so(self):
        response = self.send("sign_up", self.gathering.pk, by=self.cat, station="no")
        self.assertContains(response, "out of date")

    def test_giving_up_moves_the_queue(self):
        response = self.send(
            "give_up", self.gathering.pk, by=self.ann, sign_up=self.held.pk, sure="1"
        )
        self.assertContains(response, "You have given up your place.")
        self.turn.refresh_from_db()
        assert self.turn.status == SignUpStatus.HELD

    def test_the_lead_reads_whose_place_was_given_up(self):
        response = self.send(
            "give_up", self.gathering.pk, by=self.liam, sign_up=self.held.pk, sure="1"
        )
        self.assertContains(response, "No longer coming: Ann Rush.")

    def test_nobody_gives_up_anothers_place(self):
        response = self.send(
            "give_up", self.gathering.pk, by=self.cat, sign_up=self.held.pk, sure="1"
        )
        self.assertContains(response, "Only the lead or an organiser")
        response = self.send("give_up", self.gathering.pk, by=self.cat, sign_up="9999")
        self.assertContains(response, "out of date")

    def test_the_lead_moves_somebody(self):
        self.tie.briefing = None
        self.tie.save()
        response = self.send(
            "move",
            self.gathering.pk,
            by=self.liam,
            sign_up=self.held.pk,
            station=self.tie.pk,
        )
        self.assertContains(response, "Ann Rush is at Tie now")

    def test_a_move_refused_says_why(self):
        both = {"sign_up": self.held.pk, "station": self.tie.pk}
        response = self.send("move", self.gathering.pk, by=self.liam, **both)
        self.assertContains(response, "has not heard the briefing")
        response = self.send(
            "move", self.gathering.pk, by=self.liam, sign_up=self.held.pk
        )
        self.assertContains(response, "out of date")

    def test_buttons_do_nothing_for_strangers(self):
        for view in ("sign_up", "give_up", "move"):
            response = self.send(view, self.gathering.pk, by=make_organiser())
            assert response.status_code == 403
        assert SignUp.objects.live().count() == 2


class SheetTests(EveningCase):
    def test_the_sheet_comes_at_once_and_in_large_print(self):
        pages = []
        for data in ({}, {"large": "1"}):
            response = self.page(
                "sign_in_sheet", self.gathering.pk, by=self.liam, data=data
            )
            assert response["Content-Type"] == "application/pdf"
            assert "inline" in response["Content-Disposition"]
            assert "no-store" in response["Cache-Control"]
            pages.append(PdfReader(BytesIO(response.content)))
        assert f"printed {NOW:%-d %B %Y}" in pages[0].pages[0].extract_text()
        assert len(pages[1].pages) >= len(pages[0].pages)


class SomebodyTests(EveningCase):
    def test_a_lead_signs_somebody_up_by_name(self):
        said = {"volunteer": "cat dow", "station": self.pull.pk}
        page = self.send("somebody", self.gathering.pk, by=self.liam, **said)
        self.assertContains(page, "Cat Dow")
        turn = SignUp.objects.get(volunteer=self.cat)
        assert (turn.station, turn.status) == (self.pull, SignUpStatus.WAITING)

    def test_a_refusal_and_a_slip_stay_on_the_page(self):
        said = {"volunteer": "Cat Dow", "station": self.tie.pk}
        page = self.send("somebody", self.gathering.pk, by=self.liam, **said)
        assert "has not heard" in str(page.context["form"].errors)
        self.assertContains(page, 'value="Cat Dow"')
        said["volunteer"] = "Ann Rush"
        page = self.send("somebody", self.gathering.pk, by=self.liam, **said)
        assert "isn't on the list" in page.context["form"].errors["volunteer"][0]
        assert not SignUp.objects.filter(volunteer=self.cat).exists()

    def test_nobody_else_may(self):
        at = ("somebody", self.gathering.pk)
        assert self.page(*at, by=self.cat).status_code == 404
        assert self.page(*at, by=self.liam).status_code == 200
