import pytest
from django.test import TestCase
from django.urls import reverse

from heritage.people.models import AgeBand, Volunteer
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_user,
    make_volunteer,
)


class PeopleCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush")

    def url(self, view, *args):
        return reverse(f"people:{view}", args=[self.place.slug, *args])

    def be(self, person):
        self.client.force_login(getattr(person, "user", person))

    def post(self, view, /, *args, **data):
        return self.client.post(self.url(view, *args), data)


class JoinTests(PeopleCase):
    def test_a_visitor_signs_in_first_and_comes_back(self):
        response = self.client.get(self.url("join"))
        assert response.status_code == 302
        assert f"next={self.url('join')}" in response["Location"]

    def test_an_account_joins_and_goes_where_it_was_going(self):
        user = make_user(name="Una Reed")
        self.be(user)
        onward = self.url("me")
        page = self.client.get(self.url("join"))
        self.assertContains(page, 'value="Una Reed"')
        response = self.post("join", name="Una Reed", age_band="adult", next=onward)
        self.assertRedirects(response, onward)
        assert user.volunteers.get().demonstration == self.place

    def test_nobody_is_sent_to_another_site(self):
        self.be(make_user())
        response = self.post(
            "join", name="Una", age_band="adult", next="https://elsewhere.example/"
        )
        following = reverse("gatherings:next", args=[self.place.slug])
        self.assertRedirects(response, following, fetch_redirect_response=False)

    def test_a_volunteer_has_no_need_to_join(self):
        self.be(self.ann)
        response = self.client.get(self.url("join"), {"next": self.url("me")})
        self.assertRedirects(response, self.url("me"))

    def test_the_young_are_told_how_and_keep_what_they_typed(self):
        self.be(make_user())
        response = self.post("join", name="Una Reed", age_band="from_16", phone="7")
        self.assertContains(response, "entered by the adult who answers")
        self.assertContains(response, 'value="Una Reed"')
        assert "age_band" in response.context["form"].errors

    def test_a_name_and_an_age_are_asked_for(self):
        self.be(make_user())
        response = self.post("join", phone="7")
        assert set(response.context["form"].errors) == {"name", "age_band"}


class ListTests(PeopleCase):
    def test_the_list_is_the_organisers(self):
        self.be(self.ann)
        assert self.client.get(self.url("list")).status_code == 403
        self.be(make_organiser())
        assert self.client.get(self.url("list")).status_code == 403
        self.be(self.nora)
        response = self.client.get(self.url("list"))
        self.assertContains(response, "Ann Rush")
        assert "no-store" in response["Cache-Control"]

    def test_somebody_without_email_or_telephone_is_entered(self):
        self.be(self.nora)
        response = self.post("add", name="Paper Pat", age_band="adult")
        self.assertRedirects(response, self.url("list"))
        assert Volunteer.objects.get(name="Paper Pat").user is None

    def test_a_child_without_a_guardian_is_refused_beside_the_field(self):
        self.be(self.nora)
        response = self.post("add", name="Wee Joe", age_band="under_13")
        assert "guardian" in response.context["form"].errors
        self.assertContains(response, 'value="Wee Joe"')

    def test_details_are_corrected(self):
        self.be(self.nora)
        url = self.url("edit", self.ann.pk)
        self.assertContains(self.client.get(url), 'value="Ann Rush"')
        response = self.client.post(url, {"name": "Ann Reed", "age_band": "adult"})
        self.assertRedirects(response, self.url("list"))
        self.ann.refresh_from_db()
        assert self.ann.name == "Ann Reed"

    def test_a_refusal_keeps_the_page_and_its_heading(self):
        self.be(self.nora)
        response = self.post("edit", self.ann.pk, name="", age_band="adult")
        assert "name" in response.context["form"].errors
        self.assertContains(response, "Ann Rush")

    def test_a_stranger_is_not_found(self):
        self.be(self.nora)
        stranger = make_volunteer()
        assert self.client.get(self.url("edit", stranger.pk)).status_code == 404


class RoleTests(PeopleCase):
    def test_a_role_holds_and_ends_at_once(self):
        self.be(self.nora)
        self.post("make_organiser", self.ann.pk)
        self.be(self.ann)
        assert self.client.get(self.url("list")).status_code == 200
        self.be(self.nora)
        self.post("stop_organiser", self.ann.pk)
        self.be(self.ann)
        assert self.client.get(self.url("list")).status_code == 403

    def test_the_last_organiser_is_told_why_not(self):
        self.be(self.nora)
        response = self.client.post(
            self.url("stop_organiser", self.nora.pk), follow=True
        )
        self.assertContains(response, "is the only organiser")

    def test_an_organiser_may_step_down(self):
        make_organiser(demonstration=self.place)
        self.be(self.nora)
        response = self.post("stop_organiser", self.nora.pk)
        self.assertRedirects(response, self.url("me"))

    def test_somebody_is_taken_off_and_put_back(self):
        self.be(self.nora)
        self.post("take_off", self.ann.pk)
        assert self.ann not in self.place.volunteers.active()
        self.assertContains(self.client.get(self.url("list")), "1 who left")
        self.post("bring_back", self.ann.pk)
        assert self.ann in self.place.volunteers.active()


class MeTests(PeopleCase):
    def setUp(self):
        self.be(self.ann)

    def child(self, guardian):
        return make_volunteer(
            demonstration=self.place,
            user=None,
            name="Wee Joe",
            age_band=AgeBand.FROM_13,
            guardian=guardian,
        )

    def test_my_page_shows_my_household(self):
        self.child(self.ann)
        response = self.client.get(self.url("me"))
        self.assertContains(response, "Wee Joe")
        assert "no-store" in response["Cache-Control"]

    def test_a_keeper_who_has_not_joined_has_no_page(self):
        self.be(make_user(is_staff=True))
        assert self.client.get(self.url("me")).status_code == 404

    def test_i_correct_my_details_and_stay_as_old_as_i_was(self):
        self.client.get(self.url("edit_me"))
        self.post("edit_me", name="Ann Reed", phone="7", email="a@example.org")
        self.ann.refresh_from_db()
        assert (self.ann.name, self.ann.phone) == ("Ann Reed", "7")
        assert self.ann.age_band == AgeBand.ADULT

    def test_a_bad_address_is_named_and_kept(self):
        response = self.post("edit_me", name="Ann", email="ann at home")
        assert "email" in response.context["form"].errors
        self.assertContains(response, "ann at home")

    def test_i_enter_and_correct_a_child(self):
        self.client.get(self.url("add_child"))
        self.post("add_child", name="Joe", age_band="under_13")
        joe = self.ann.children.get()
        self.client.get(self.url("edit_child", joe.pk))
        self.post("edit_child", joe.pk, name="Joseph", age_band="from_13")
        joe.refresh_from_db()
        assert (joe.name, joe.age_band) == ("Joseph", "from_13")

    def test_a_young_person_cannot_enter_a_child(self):
        joe = make_volunteer(
            demonstration=self.place, age_band=AgeBand.FROM_16, guardian=self.ann
        )
        self.be(joe)
        response = self.post("add_child", name="Una", age_band="under_13")
        self.assertContains(response, "Choose an adult on the list")

    def test_another_household_is_not_found(self):
        theirs = self.child(self.nora)
        assert self.client.get(self.url("edit_child", theirs.pk)).status_code == 404
        assert self.post("leave_me", who=theirs.pk).status_code == 404

    def test_i_get_a_new_calendar_address(self):
        old = self.ann.calendar_key
        self.assertRedirects(self.post("renew_calendar"), self.url("me"))
        self.ann.refresh_from_db()
        assert self.ann.calendar_key != old

    def test_i_take_a_child_off_and_then_leave(self):
        child = self.child(self.ann)
        response = self.client.post(self.url("leave_me"), follow=True)
        self.assertContains(response, "is the guardian of Wee Joe")
        self.post("leave_me", who=child.pk)
        child.refresh_from_db()
        assert child.left_at
        self.post("leave_me", who="me")
        self.ann.refresh_from_db()
        assert self.ann.left_at

    def test_a_lead_is_told_to_hand_over_first(self):
        make_gathering(
            demonstration=self.place,
            lead=self.ann,
            ends_at=NOW.replace(year=2100),
        )
        response = self.client.post(self.url("leave_me"), follow=True)
        self.assertContains(response, "leads a coming gathering")


@pytest.mark.django_db
def test_the_account_form_asks_for_a_name(client):
    client.post(
        reverse("account_signup"), {"name": "Una Reed", "email": "una@example.org"}
    )
    page = client.get(reverse("account_signup"))
    assert b'autocomplete="name"' in page.content or page.status_code == 302
