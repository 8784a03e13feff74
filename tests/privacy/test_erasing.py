"""Erasing: what goes goes for good, what must stay names nobody."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.common.privacy import Deleted
from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.people.models import AgeBand, Letter, User, Volunteer
from heritage.people.services import come_back
from heritage.pictures.models import Picture
from heritage.privacy.erasing import selectors as erasing_selectors
from heritage.privacy.erasing import services
from heritage.privacy.held import selectors
from heritage.tally.models import Entry
from heritage.tally.selectors import board
from heritage.tally.statements.selectors import statement
from tests.factories import (
    NOW,
    make_erasure,
    make_gathering,
    make_letter,
    make_organiser,
    make_picture,
    make_sign_up,
    make_station,
    make_volunteer,
)
from tests.privacy.world import fill_once, make_home


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class World(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home, cls.nora, cls.ann, cls.ned = make_home()
        cls.bob = make_volunteer(demonstration=cls.home, name="Bob Reed")

    def ask(self, person=None, by=None):
        person = person or self.bob
        by = by or person.user or self.nora.user
        return services.ask_erasure(volunteer=person, by=by, now=NOW)

    def do(self, person=None, by=None):
        return services.carry_out_erasure(
            erasure=self.ask(person), by=by or self.nora.user, now=NOW
        )


class AskTests(World):
    def test_asking_twice_is_asking_once_and_may_be_taken_back(self):
        first = self.ask()
        assert self.ask() == first
        services.take_back_erasure(erasure=first, by=self.bob.user, now=NOW)
        first.refresh_from_db()
        assert first.taken_back_at == NOW
        assert self.ask() != first
        with pytest.raises(ValidationError, match="They have taken it back"):
            services.carry_out_erasure(erasure=first, by=self.nora.user, now=NOW)

    def test_only_they_their_guardian_or_an_organiser_ask(self):
        assert self.ask(self.ned, self.ann.user).asked_by == self.ann.user
        assert self.ask(self.bob, self.nora.user).asked_by == self.nora.user
        with pytest.raises(ValidationError, match="Only Nora Bell"):
            self.ask(self.nora, self.bob.user)

    def test_only_an_organiser_carries_it_out(self):
        with pytest.raises(ValidationError, match="organiser"):
            self.do(by=self.bob.user)

    def test_what_is_done_is_not_asked_or_taken_back_again(self):
        done = self.do()
        assert (
            services.carry_out_erasure(
                erasure=done, by=self.nora.user, now=NOW + timedelta(days=1)
            ).carried_out_at
            == NOW
        )
        with pytest.raises(ValidationError, match="It's done, and can't be undone"):
            services.take_back_erasure(erasure=done, by=self.nora.user, now=NOW)
        self.bob.refresh_from_db()
        with pytest.raises(
            ValidationError,
            match="This person was already deleted or joined with another",
        ):
            self.ask(self.bob, self.nora.user)
        with pytest.raises(
            ValidationError,
            match="This person was deleted or joined with another, and can't come back",
        ):
            come_back(volunteer=self.bob)


class HindranceTests(World):
    def refused(self, person, words):
        with pytest.raises(ValidationError, match=words):
            self.do(person)

    def test_a_guardian_of_a_child_who_stays(self):
        self.refused(self.ann, "answers for Ned Rush")

    def test_the_last_organiser(self):
        self.refused(self.nora, "only organiser")
        make_organiser(demonstration=self.home)
        assert self.do(self.nora).carried_out_at

    def test_whoever_leads_or_gives_first_aid_at_an_evening_to_come(self):
        evening = make_gathering(demonstration=self.home, lead=self.bob)
        self.refused(self.bob, "leads or gives first aid")
        evening.lead, evening.first_aider = None, self.bob
        evening.save(update_fields=["lead", "first_aider"])
        self.refused(self.bob, "leads or gives first aid")


class CarryOutTests(World):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.begun = fill_once(cls.bob, by=cls.bob.user)
        cls.bob.emergency_name = "Bea Reed"
        cls.bob.save()
        make_letter(demonstration=cls.home, address=cls.bob.email.upper())

    def test_nothing_that_names_them_is_left(self):
        name, email = self.bob.name, self.bob.email
        done = self.do()
        bob = Volunteer.objects.get(pk=self.bob.pk)
        assert (bob.name, bob.email, bob.phone) == (services.NOBODY, "", "")
        assert bob.user is None
        assert bob.erased_at == bob.left_at == NOW
        assert bob.calendar_key != self.bob.calendar_key
        for rows in (bob.agreements, bob.skills, bob.letters, bob.invitations,
                     bob.steward_posts, bob.pictures):  # fmt: skip
            assert not rows.exists()
        assert not Letter.objects.filter(address__iexact=email).exists()
        assert not Picture.objects.of(self.home).published().exists()
        assert bob.entries.count() == bob.turnout.count() == 1
        assert bob.acknowledgements.count() == bob.incidents.count() == 1
        held = str(selectors.held(bob, NOW).parts)
        assert name not in held
        assert email not in held
        whys = {what for what, _rows, _why in done.kept}
        assert {"beets in the tally", "when they came", "briefings heard"} <= whys

    def test_what_its_model_says_is_deleted_is_gone(self):
        there = [
            (source, erased)
            for source, erased in erasing_selectors.of_lines()
            if isinstance(erased, Deleted)
        ]
        assert len(there) > 6
        self.do()
        for source, erased in there:
            rows = erasing_selectors.rows_of(
                source, erased, self.bob, [self.bob.pk], NOW
            )
            with self.subTest(kind=source.about.key):
                assert not rows.exists()

    def test_the_account_is_emptied_and_cannot_sign_in(self):
        self.client.force_login(self.bob.user)
        self.do()
        user = User.objects.get(pk=self.bob.user_id)
        assert user.email == f"erased-{user.pk}@nobody.invalid"
        assert not user.is_active
        assert str(Entry.objects.get(volunteer=self.bob).entered_by) == services.NOBODY
        page = self.client.get(reverse("people:me", args=[self.home.slug]))
        assert page.status_code == 302

    def test_an_account_used_elsewhere_stays_the_person_s(self):
        make_volunteer(user=self.bob.user)
        email, page = self.bob.user.email, erasing_selectors.erasing(self.bob, NOW)
        assert "the account" in [kept.what for kept in page.stays]
        self.do()
        assert User.objects.get(pk=self.bob.user_id).email == email

    def test_a_claim_holds_and_says_so(self):
        incident = self.bob.incidents.get()
        incident.held_for = "a letter from their solicitor"
        incident.save(update_fields=["held_for"])
        kept = " ".join(why for _what, _rows, why in self.do().kept)
        assert "a letter from their solicitor" in kept

    def test_the_queue_moves_up(self):
        station = make_station(
            gathering=make_gathering(demonstration=self.home), places=1
        )
        make_sign_up(station=station, volunteer=self.bob)
        next_up = make_sign_up(
            station=station, volunteer=self.ann, status=SignUpStatus.WAITING
        )
        self.do()
        next_up.refresh_from_db()
        assert next_up.status == SignUpStatus.HELD
        assert not SignUp.objects.live().by(self.bob).exists()

    def test_a_paper_line_and_a_child_are_erased_too(self):
        self.do(self.ned)
        self.ned.refresh_from_db()
        assert (self.ned.guardian, self.ned.age_band) == (None, AgeBand.ADULT)
        self.do(self.ann)

    def test_pages_that_show_their_rows_still_work(self):
        before = board(self.home).total
        self.do()
        assert board(self.home).total == before
        assert statement(Volunteer.objects.get(pk=self.bob.pk)).beets == 7
        self.client.force_login(self.nora.user)
        pages = [
            reverse("tally:board", args=[self.home.slug]),
            reverse("tally:statement", args=[self.home.slug, self.bob.pk]),
            reverse("tally:log", args=[self.home.slug, self.begun.pk]),
            reverse("gatherings:gathering", args=[self.home.slug, self.begun.pk]),
            reverse("fieldlog:book", args=[self.home.slug, self.begun.pk]),
            reverse("privacy:erasures", args=[self.home.slug]),
            reverse("people:list", args=[self.home.slug]),
        ]
        for page in pages:
            with self.subTest(page=page):
                answer = self.client.get(page)
                assert answer.status_code == 200
                assert "Bob Reed" not in answer.content.decode()

    def test_a_fixed_number_of_queries(self):
        rows = Volunteer.objects.select_related("user", "demonstration")
        for _size in range(2):
            bob = rows.get(pk=self.bob.pk)
            with self.assertNumQueries(27):
                erasing_selectors.erasing(bob, NOW)
            make_letter(demonstration=self.home, volunteer=self.bob)
            make_sign_up(
                station=make_station(gathering=make_gathering(demonstration=self.home)),
                volunteer=self.bob,
            )


class PageTests(World):
    def address(self, name, *keys):
        return reverse(f"privacy:{name}", args=[self.home.slug, *keys])

    def test_from_asking_to_the_end(self):
        self.client.force_login(self.bob.user)
        page = self.address("erase", self.bob.pk)
        assert "We keep" in self.client.get(page).content.decode()
        assert (
            "Thank you. An organiser does it within a month"
            in self.client.post(page, follow=True).content.decode()
        )
        assert "Taken back." in self.client.post(page, follow=True).content.decode()
        self.client.post(page)
        self.client.force_login(self.nora.user)
        asked = self.bob.erasures.open().get()
        listed = self.client.get(self.address("erasures")).content.decode()
        assert "Bob Reed" in listed
        confirm = self.address("erasure", asked.pk)
        unsure = self.client.post(confirm)
        assert "Please read it, then tick" in unsure.content.decode()
        self.bob.refresh_from_db()
        assert self.bob.erased_at is None
        answer = self.client.post(confirm, {"sure": "on"}, follow=True)
        assert "Deleted for good." in answer.content.decode()
        assert "Bob Reed" not in answer.content.decode()

    def test_a_refusal_stands_above_the_form(self):
        self.client.force_login(self.nora.user)
        asked = make_erasure(volunteer=self.ann)
        answer = self.client.post(self.address("erasure", asked.pk), {"sure": "on"})
        assert answer.status_code == 200
        assert "answers for Ned Rush" in answer.content.decode()

    def test_an_organiser_asks_for_somebody_who_told_them(self):
        self.client.force_login(self.nora.user)
        page = self.address("erase", self.bob.pk)
        assert "Continue" in (self.client.post(page, follow=True).content.decode())
        asked = self.bob.erasures.get()
        assert (asked.asked_by, str(asked)) == (
            self.nora.user,
            f"{self.bob.pk}: 2026-08-12",
        )

    def test_nobody_else_looks(self):
        self.client.force_login(self.ann.user)
        assert self.client.get(self.address("erase", self.bob.pk)).status_code == 404
        assert self.client.get(self.address("erase", self.ned.pk)).status_code == 200
        assert self.client.get(self.address("erasures")).status_code == 403


class PictureTests(World):
    def test_no_press_shows_again_whom_an_erasure_hid(self):
        """Also where the picture was not shown yet: nobody is marked any more."""
        shown, kept_back = (
            make_picture(demonstration=self.home, is_published=seen)
            for seen in (True, False)
        )
        for picture in (shown, kept_back):
            picture.people.add(self.bob)
        self.do()
        self.client.force_login(self.nora.user)
        for picture in (shown, kept_back):
            place = [self.home.slug, picture.pk]
            self.client.post(reverse("pictures:publish", args=place))
            self.client.post(reverse("pictures:publish", args=place))
        assert not Picture.objects.published().exists()
