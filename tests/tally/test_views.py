"""The tally's pages: who sees what, and what becomes of what they type."""

import uuid
from datetime import timedelta
from decimal import Decimal
from unittest import mock

from django.core.exceptions import ValidationError
from django.test import TestCase, override_settings
from django.urls import reverse
from django.utils.html import escape

from heritage.people.models import AgeBand
from heritage.tally.forecast import selectors as words
from heritage.tally.models import Answer, Entry, OwnLog, PulledArea, Work
from tests.factories import (
    make_demonstration,
    make_entry,
    make_gathering,
    make_organiser,
    make_plot,
    make_sign_up,
    make_station,
    make_turnout,
    make_user,
    make_volunteer,
)
from tests.tally.rows import make_measure, make_own_log, make_work

ROWS_PAGES = ("log", "crew", "paper")
LEAD_PAGES = (*ROWS_PAGES, "work", "correct_work", "ground", "confirm")
BOOK_PAGES = ("statements", "book_csv", "book_xlsx")
SHEETS = ("statements_sheet", "all_thanks_sheet")


@override_settings(CLOCK_STARTS_AT="2026-08-13T19:30:00+01:00")
class TallyPages(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration(beets_per_stook=12)
        here = {"demonstration": cls.demonstration}
        cls.organiser = make_organiser(name="Orla Organiser", **here)
        cls.lead = make_volunteer(name="Lena Lead", **here)
        cls.ann = make_volunteer(name="Ann Frew", **here)
        cls.child = make_volunteer(
            name="Cara Frew",
            user=None,
            age_band=AgeBand.FROM_13,
            guardian=cls.ann,
            **here,
        )
        cls.stranger = make_organiser()
        cls.plot = make_plot(name="Near", area_m2=Decimal(1000), **here)
        cls.gathering = make_gathering(lead=cls.lead, plot=cls.plot, **here)
        for person in (cls.ann, cls.child):
            make_turnout(gathering=cls.gathering, volunteer=person)
        cls.entry = make_entry(gathering=cls.gathering, volunteer=cls.ann, beets=7)

    def url(self, name, *args, **query):
        return reverse(
            f"tally:{name}", args=[self.demonstration.slug, *args], query=query
        )

    def at(self, person):
        if person:
            self.client.force_login(person.user)
        else:
            self.client.logout()
        return self.client

    def get(self, person, name, *args, **query):
        return self.at(person).get(self.url(name, *args, **query))

    def post(self, person, name, data, *args):
        return self.at(person).post(self.url(name, *args), data)


class DoorTests(TallyPages):
    def test_leads_and_organisers_open_the_evenings_pages_and_nobody_else(self):
        for name in LEAD_PAGES:
            for person, status in (
                (self.lead, 200),
                (self.organiser, 200),
                (self.ann, 404),
                (self.stranger, 403),
                (None, 302),
            ):
                with self.subTest(page=name, person=person):
                    answer = self.get(person, name, self.gathering.pk)
                    assert answer.status_code == status

    def test_everybodys_figures_are_for_the_organiser(self):
        for name in (*BOOK_PAGES, *SHEETS):
            with self.subTest(page=name):
                answer = self.get(self.organiser, name)
                assert answer.status_code == 200
                assert "no-store" in answer["Cache-Control"]
                b"".join(answer)
                assert self.get(self.lead, name).status_code == 403
                assert self.get(self.stranger, name).status_code == 403

    def test_a_statement_is_for_its_person_and_who_answers_for_them(self):
        for name in ("statement", "statement_sheet", "thanks_sheet"):
            with self.subTest(page=name):
                for person in (self.ann, self.organiser):
                    assert self.get(person, name, self.child.pk).status_code == 200
                assert self.get(self.lead, name, self.child.pk).status_code == 404
                assert self.get(None, name, self.child.pk).status_code == 302

    def test_another_demonstrations_gathering_is_not_found(self):
        elsewhere = make_gathering()
        for name in (*LEAD_PAGES, "mine"):
            answer = self.get(self.organiser, name, elsewhere.pk)
            assert answer.status_code == 404


class BoardTests(TallyPages):
    def test_visitors_see_totals_and_records_and_no_full_name(self):
        page = self.get(None, "board")
        self.assertContains(page, "beets tied")
        self.assertContains(page, "Most beets in an evening")
        self.assertContains(page, "<strong>7</strong>, Ann")
        for word in ("Frew", "token pay", "When will it be done"):
            self.assertNotContains(page, word)

    def test_a_childs_record_names_nobody_to_visitors(self):
        make_entry(gathering=self.gathering, volunteer=self.child, beets=30)
        assert "Cara" not in self.get(None, "board").content.decode()
        members = self.get(self.lead, "board").content.decode()
        assert "Cara" in members
        assert "Cara Frew" not in members

    def test_members_see_people_by_name(self):
        page = self.get(self.lead, "board")
        self.assertContains(page, "Ann Frew")
        self.assertContains(page, self.url("forecast"))
        self.assertNotContains(page, self.url("statements"))
        self.assertContains(self.get(self.organiser, "board"), self.url("statements"))

    def test_beets_to_confirm_stand_apart(self):
        make_own_log(gathering=self.gathering, volunteer=self.ann, beets=9)
        page = self.get(self.lead, "board")
        self.assertContains(page, "9 more beets are in volunteers")
        self.assertContains(page, "7 beets tied")
        own = self.get(self.ann, "statement", self.ann.pk)
        self.assertContains(own, "9 beets from their own log wait")

    def test_one_stook_is_one_stook(self):
        make_entry(gathering=self.gathering, volunteer=self.ann, beets=6)
        said = "1 stook and 1 "
        self.assertContains(self.get(self.organiser, "board"), "of 12, and 1")
        own = self.get(self.ann, "statement", self.ann.pk)
        self.assertContains(own, said)

    def test_an_empty_board_says_what_to_do(self):
        empty = make_demonstration()
        page = self.client.get(reverse("tally:board", args=[empty.slug]))
        self.assertContains(page, "Nothing has been pulled yet")
        member = make_volunteer(demonstration=empty)
        self.client.force_login(member.user)
        page = self.client.get(reverse("tally:board", args=[empty.slug]))
        self.assertContains(page, "Beets are added on the gathering")

    def test_a_hidden_demonstration_has_no_board_for_visitors(self):
        self.demonstration.is_public = False
        self.demonstration.save()
        assert self.get(None, "board").status_code == 404

    def test_other_work_is_shown(self):
        make_work(gathering=self.gathering, amount=40)
        self.assertContains(self.get(None, "board"), "Bands cut")


class WritingTests(TallyPages):
    def rows(self, **said):
        return {"key": str(uuid.uuid4()), "way": "hand", "plot": self.plot.pk} | said

    def test_a_crew_is_shared_out(self):
        data = self.rows(
            beets=11, **{f"row_{self.ann.pk}": "1", f"row_{self.child.pk}": "0.5"}
        )
        answer = self.post(self.lead, "crew", data, self.gathering.pk)
        self.assertRedirects(answer, self.url("log", self.gathering.pk))
        shares = Entry.objects.filter(crew__isnull=False).order_by("-beets")
        assert [row.beets for row in shares] == [7, 4]
        self.assertContains(
            self.get(self.lead, "log", self.gathering.pk), "a crew's share", count=2
        )

    def test_a_crew_of_nobody_keeps_what_was_typed(self):
        answer = self.post(self.lead, "crew", self.rows(beets=11), self.gathering.pk)
        self.assertContains(answer, "Tick who was in the crew")
        self.assertContains(answer, 'value="11"')

    def test_a_paper_sheet_that_does_not_agree_keeps_what_was_typed(self):
        data = self.rows(check_total=9, **{f"row_{self.ann.pk}": "8"})
        answer = self.post(self.lead, "paper", data, self.gathering.pk)
        self.assertContains(answer, "a difference of 1")
        self.assertContains(answer, 'value="8"')
        data |= {"check_total": 8}
        answer = self.post(self.lead, "paper", data, self.gathering.pk)
        assert answer.status_code == 302
        assert Entry.objects.get(source="paper").beets == 8

    def test_an_evening_without_a_number_is_refused(self):
        data = self.rows(check_total=3)
        answer = self.post(self.lead, "paper", data, self.gathering.pk)
        self.assertContains(answer, "Enter beets for at least one person")

    def test_a_correction_is_written_or_says_what_is_wrong(self):
        place = (self.gathering.pk, self.entry.pk)
        self.assertContains(
            self.get(self.lead, "correct", *place), "the book says 7 beets"
        )
        data = {"right_beets": 7, "reason": "Slip"}
        answer = self.post(self.lead, "correct", data, *place)
        self.assertContains(answer, "the same as before")
        answer = self.post(self.lead, "correct", data | {"right_beets": 6}, *place)
        assert answer.status_code == 302
        assert Entry.objects.beets() == 6

    def test_other_work_is_written_and_put_right(self):
        data = {"key": str(uuid.uuid4()), "kind": "loads", "amount": 3, "note": "Cart"}
        answer = self.post(self.lead, "work", data, self.gathering.pk)
        self.assertRedirects(answer, self.url("work", self.gathering.pk))
        line = Work.objects.get()
        wrong = {"work": line.pk, "right_amount": 3, "reason": "Slip"}
        answer = self.post(self.lead, "correct_work", wrong, self.gathering.pk)
        self.assertContains(answer, "the same as before")
        right = wrong | {"right_amount": 2}
        answer = self.post(self.lead, "correct_work", right, self.gathering.pk)
        self.assertRedirects(answer, self.url("work", self.gathering.pk))
        assert Work.objects.all().sums() == {"loads": 2}
        self.assertContains(
            self.get(self.lead, "work", self.gathering.pk), "correction"
        )

    def test_work_of_nothing_names_its_field(self):
        data = {"key": str(uuid.uuid4()), "kind": "loads", "amount": 0}
        answer = self.post(self.lead, "work", data, self.gathering.pk)
        assert "amount" in answer.context["form"].errors

    def test_there_must_be_a_line_to_put_right(self):
        page = self.get(self.lead, "correct_work", self.gathering.pk)
        self.assertContains(page, "No other work is in the book")

    def test_ground_is_measured_in_any_of_three_measures(self):
        for area, measure, m2 in (
            ("100", "m2", "100.00"),
            ("2", "perch", "50.59"),
            ("25", "percent", "250.00"),
        ):
            data = {"plot": self.plot.pk, "area": area, "measure": measure}
            answer = self.post(self.lead, "ground", data, self.gathering.pk)
            self.assertRedirects(answer, self.url("ground", self.gathering.pk))
            newest = PulledArea.objects.in_order().last()
            assert newest.area_m2 == Decimal(m2)
        page = self.get(self.lead, "ground", self.gathering.pk)
        self.assertContains(page, "250.00 m² cleared")

    def test_more_ground_than_there_is_names_its_field(self):
        data = {"plot": self.plot.pk, "area": "5000", "measure": "m2"}
        answer = self.post(self.lead, "ground", data, self.gathering.pk)
        self.assertContains(answer, "Measure again")
        assert list(answer.context["form"].errors) == ["area"]
        self.assertContains(answer, "5000")

    def test_a_field_without_plots_says_who_puts_them_in(self):
        bare = make_demonstration()
        lead = make_volunteer(demonstration=bare)
        evening = make_gathering(demonstration=bare, lead=lead)
        self.client.force_login(lead.user)
        page = self.client.get(reverse("tally:ground", args=[bare.slug, evening.pk]))
        self.assertContains(page, "The organiser puts the plots in")

    def test_an_evening_without_people_leads_to_the_turnout(self):
        empty = make_gathering(demonstration=self.demonstration, lead=self.lead)
        for name in ROWS_PAGES:
            page = self.get(self.lead, name, empty.pk)
            self.assertContains(page, "Nobody has come or signed up yet")

    def test_a_refusal_about_a_field_no_form_has_still_shows(self):
        data = {"key": str(uuid.uuid4()), "kind": "loads", "amount": 3}
        with mock.patch(
            "heritage.tally.services.log_work",
            side_effect=ValidationError({"elsewhere": ["Out of the blue."]}),
        ):
            answer = self.post(self.lead, "work", data, self.gathering.pk)
        self.assertContains(answer, "Out of the blue.")


class OwnLogTests(TallyPages):
    def own(self, person, **said):
        data = {"key": str(uuid.uuid4()), "volunteer": self.ann.pk, "beets": 6}
        data |= {"way": "hand", "note": ""} | said
        return self.post(person, "mine", data, self.gathering.pk)

    def test_a_volunteer_writes_down_what_they_and_their_child_pulled(self):
        for person in (self.ann, self.child):
            answer = self.own(self.ann, volunteer=person.pk)
            self.assertRedirects(answer, self.url("mine", self.gathering.pk))
        assert OwnLog.objects.count() == 2
        page = self.get(self.ann, "mine", self.gathering.pk)
        self.assertContains(page, "to be confirmed", count=2)

    def test_nobody_writes_for_others(self):
        answer = self.own(self.ann, volunteer=self.lead.pk)
        assert "volunteer" in answer.context["form"].errors

    def test_too_early_is_refused_and_kept(self):
        self.gathering.starts_at += timedelta(days=2)
        self.gathering.ends_at += timedelta(days=2)
        self.gathering.save()
        answer = self.own(self.ann)
        self.assertContains(answer, "begun yet")
        self.assertContains(answer, 'value="6"')

    def test_the_lead_confirms_each(self):
        own = make_own_log(gathering=self.gathering, volunteer=self.ann, beets=6)
        other = make_own_log(gathering=self.gathering, volunteer=self.child, beets=4)
        page = self.get(self.lead, "confirm", self.gathering.pk)
        self.assertContains(page, "Ann Frew: 6")
        data = {
            "own_log": own.pk,
            f"log-{own.pk}-right_beets": 5,
            f"log-{own.pk}-reason": "",
        }
        answer = self.post(self.lead, "confirm", data, self.gathering.pk)
        self.assertContains(answer, "Say why it differs from what they entered")
        data[f"log-{own.pk}-reason"] = "One was Bob's"
        answer = self.post(self.lead, "confirm", data, self.gathering.pk)
        self.assertRedirects(answer, self.url("confirm", self.gathering.pk))
        assert Answer.objects.get().entry.beets == 5
        data = {
            "own_log": other.pk,
            f"log-{other.pk}-right_beets": 0,
            f"log-{other.pk}-reason": "Counted already",
        }
        self.post(self.lead, "confirm", data, self.gathering.pk)
        page = self.get(self.ann, "mine", self.gathering.pk)
        self.assertContains(page, "confirmed: 5")
        self.assertContains(page, "not confirmed")
        self.assertContains(page, "Counted already")
        page = self.get(self.lead, "confirm", self.gathering.pk)
        self.assertContains(page, "Nothing to confirm")

    def test_a_keeper_has_nothing_of_their_own_to_write(self):
        self.client.force_login(make_user(is_staff=True))
        page = self.client.get(self.url("mine", self.gathering.pk))
        self.assertContains(page, "You haven't joined here, so there's nothing to add")


class ForecastPageTests(TallyPages):
    def test_an_unmeasured_field_says_what_to_do(self):
        bare = make_demonstration()
        member = make_organiser(demonstration=bare)
        self.client.force_login(member.user)
        page = self.client.get(reverse("tally:forecast", args=[bare.slug]))
        self.assertContains(page, "No plot has been measured yet")

    def test_without_evenings_it_says_what_to_do(self):
        self.gathering.stage = "retting"
        self.gathering.save()
        page = self.get(self.ann, "forecast")
        self.assertContains(page, "No pulling evening is posted")

    def test_it_says_when_with_the_range_and_what_it_rests_on(self):
        make_sign_up(station=make_station(gathering=self.gathering))
        page = self.get(self.ann, "forecast")
        self.assertContains(page, "If everything goes slowly")
        self.assertContains(page, "until you measure")
        self.assertContains(page, "placeholders, without a source")
        head, table = page.content.decode().split("<details", 1)
        assert escape(words.likely_words(page.context["page"])) in head
        assert "% to" not in head
        assert "Each evening" in table
        self.assertContains(page, "<svg")
        self.assertNotContains(page, "If that were so")
        assert self.get(None, "forecast").status_code == 302
        assert self.get(self.stranger, "forecast").status_code == 403

    def test_a_question_stands_in_the_address_and_shows_before_and_after(self):
        page = self.get(
            self.ann,
            "forecast",
            more=5,
            longer=30,
            wet_from="2026-08-20",
            machine="2026-08-13",
            room=20,
        )
        self.assertContains(page, "As it stands")
        self.assertContains(page, "If that were so")
        self.assertContains(page, "with the machine")
        self.assertContains(page, "The dam will be full before the field is empty")
        self.assertContains(page, 'value="5"')

    def test_a_question_that_makes_no_sense_names_its_field(self):
        page = self.get(self.ann, "forecast", more=-3, machine="2031-01-01")
        assert {"more", "machine"} <= set(page.context["form"].errors)
        self.assertContains(page, "If everything goes slowly")
        assert page.context["page"].after is None

    def test_a_dam_that_may_just_do_is_told_of_too(self):
        self.assertContains(
            self.get(self.ann, "forecast", room=200), "The dam may be full"
        )

    def test_measured_ground_shows_on_the_board(self):
        make_entry(gathering=self.gathering, volunteer=self.ann, plot=self.plot)
        make_measure(gathering=self.gathering, plot=self.plot, area_m2=Decimal(50))
        page = self.get(None, "board")
        self.assertContains(page, "counted when this plot was cleared")


class StatementsTests(TallyPages):
    def test_they_are_searched_and_in_pages(self):
        for number in range(14):
            person = make_volunteer(
                demonstration=self.demonstration, name=f"Zoe {number:02}", user=None
            )
            make_entry(gathering=self.gathering, volunteer=person, beets=1)
        self.client.force_login(self.organiser.user)
        first = self.client.get(self.url("statements"))
        assert len(first.context["pages"]) == 10
        self.assertContains(first, "Page 1 of 2")
        found = self.client.get(self.url("statements", wanted="zoe 13"))
        assert [str(one.volunteer) for one in found.context["pages"]] == ["Zoe 13"]
        none = self.client.get(self.url("statements", wanted="qqq"))
        self.assertContains(none, "Nobody by that name.")
