"""Invitations and claims: made, withdrawn, taken up once, by whom they are meant."""

import re
from datetime import date, timedelta
from io import BytesIO

import pytest
from allauth.account.models import EmailAddress
from django.core import mail
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.people import services as people_services
from heritage.people.invitations import services
from heritage.people.invitations.selectors import invitations_page
from heritage.people.models import AgeBand, Invitation, Letter, LetterState
from heritage.people.particulars import services as particulars_services
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing_version,
    make_demonstration,
    make_entry,
    make_gathering,
    make_invitation,
    make_organiser,
    make_sign_up,
    make_station,
    make_turnout,
    make_user,
    make_volunteer,
)
from tests.responses import CommittingClient


def verified(user):
    EmailAddress.objects.create(
        user=user, email=user.email, verified=True, primary=True
    )
    return user


class InvitationCase(TestCase):
    client_class = CommittingClient

    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(is_public=False)
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.paper = make_volunteer(
            demonstration=cls.place, user=None, name="Alf Paper", email=""
        )

    def invite(self, email="una@example.org", **fields):
        fields = {"by": self.nora.user, "now": NOW} | fields
        return services.invite(demonstration=self.place, email=email, **fields)

    def claim(self, volunteer=None, now=NOW):
        return services.make_claim(
            volunteer=volunteer or self.paper, by=self.nora.user, now=now
        )

    def take_up(self, invitation, user, **fields):
        fields = {"now": NOW, "name": "Una Reed"} | fields
        if invitation.volunteer_id:
            del fields["name"]
        return services.take_up(invitation=invitation, user=user, **fields)


class InviteTests(InvitationCase):
    def test_a_letter_goes_with_the_address_and_the_day_it_runs_out(self):
        with self.captureOnCommitCallbacks(execute=True):
            made = self.invite(as_organiser=True)
        assert made.expires_at == NOW + timedelta(days=14)
        letter = mail.outbox[0]
        assert letter.to == ["una@example.org"]
        assert f"http://127.0.0.1:8000/invitation/{made.key}/" in letter.body
        assert "invites you to organise" in letter.body
        assert "Wednesday 26 August 2026" in letter.body

    def test_a_letter_that_waits_does_not_go_once_it_is_withdrawn(self):
        made = self.invite()
        services.withdraw_invitation(invitation=made, now=NOW)
        assert Letter.objects.get().state == LetterState.OVERTAKEN
        assert mail.outbox == []

    def test_one_open_invitation_to_an_address(self):
        made = self.invite()
        with pytest.raises(ValidationError, match="has an open invitation"):
            self.invite("UNA@example.org")
        self.invite(as_organiser=True)
        services.withdraw_invitation(invitation=made, now=NOW)
        assert self.invite().pk != made.pk

    def test_whoever_is_here_already_is_not_invited(self):
        ann = make_volunteer(demonstration=self.place)
        verified(ann.user)
        verified(self.nora.user)
        with pytest.raises(ValidationError, match="is already on the list"):
            self.invite(ann.user.email)
        with pytest.raises(ValidationError, match="already has an account"):
            self.invite(ann.user.email, as_organiser=True)
        with pytest.raises(ValidationError, match="is already on the list"):
            self.invite(self.nora.user.email, as_organiser=True)


class TakeUpTests(InvitationCase):
    def test_a_closed_demonstration_is_joined_by_invitation_alone(self):
        user = make_user()
        with pytest.raises(
            ValidationError, match="You need an invitation to join here"
        ):
            people_services.join(
                demonstration=self.place, user=user, name="Una Reed", now=NOW
            )
        made = self.invite()
        person = self.take_up(made, user, phone="7")
        assert (person.user, person.phone, person.is_organiser) == (user, "7", False)
        made.refresh_from_db()
        assert (made.taken_at, made.taken_by) == (NOW, user)

    def test_it_works_once(self):
        made = self.invite()
        self.take_up(made, make_user())
        with pytest.raises(ValidationError, match="works once"):
            self.take_up(made, make_user())

    def test_it_runs_out_and_is_withdrawn(self):
        made = self.invite()
        with pytest.raises(ValidationError, match="run out"):
            self.take_up(made, make_user(), now=NOW + timedelta(days=14))
        services.withdraw_invitation(invitation=made, now=NOW)
        services.withdraw_invitation(invitation=made, now=NOW + timedelta(hours=1))
        made.refresh_from_db()
        assert made.withdrawn_at == NOW
        with pytest.raises(ValidationError, match="withdrawn this"):
            self.take_up(made, make_user())

    def test_what_was_taken_up_is_not_withdrawn(self):
        made = self.invite()
        self.take_up(made, make_user())
        with pytest.raises(ValidationError, match="It's been used already"):
            services.withdraw_invitation(invitation=made, now=NOW)

    def test_an_organisers_invitation_is_for_its_address_alone(self):
        made = self.invite(as_organiser=True)
        other = verified(make_user(email="other@example.org"))
        with pytest.raises(ValidationError, match="another e-mail address"):
            self.take_up(made, other)
        unproved = make_user(email="una@example.org")
        with pytest.raises(ValidationError, match="another e-mail address"):
            self.take_up(made, unproved)
        una = verified(unproved)
        with pytest.raises(ValidationError, match="18 or over"):
            self.take_up(made, una, age_band=AgeBand.FROM_16)
        assert self.take_up(made, una).is_organiser
        again = self.invite("una.reed@example.org", as_organiser=True)
        EmailAddress.objects.create(
            user=una, email="Una.Reed@example.org", verified=True
        )
        assert self.take_up(again, una).is_organiser

    def test_a_volunteer_becomes_an_organiser(self):
        una = verified(make_user(email="una@example.org"))
        mine = make_volunteer(demonstration=self.place, user=una, is_organiser=False)
        made = make_invitation(
            demonstration=self.place, email="una@example.org", as_organiser=True
        )
        assert self.take_up(made, una) == mine
        mine.refresh_from_db()
        assert mine.is_organiser
        assert mine.organiser_since == NOW

    def test_a_line_with_the_accounts_own_address_is_taken_over(self):
        mine = make_volunteer(
            demonstration=self.place, user=None, email="una@example.org"
        )
        una = verified(make_user(email="una@example.org"))
        assert self.take_up(self.invite(), una) == mine

    def test_what_the_line_holds_is_not_emptied_by_what_is_not_typed(self):
        """Joining as somebody entered before keeps whom to call, unless it is said."""
        for said, kept in (("", ("Sam", "9")), ("Torin", ("Torin", "8"))):
            user = verified(make_user())
            make_volunteer(
                demonstration=self.place, user=None, email=user.email,
                emergency_name="Sam", emergency_phone="9",
            )  # fmt: skip
            typed = particulars_services.Particulars(
                said_on=NOW.date(),
                emergency_name=said,
                emergency_phone="8" if said else "",
            )
            person = self.take_up(self.invite(user.email), user, particulars=typed)
            person.refresh_from_db()
            assert (person.emergency_name, person.emergency_phone) == kept

    def test_where_dates_are_kept_an_organisers_says_the_age(self):
        self.place.asks_birth_date = True
        self.place.save()
        una = verified(make_user(email="una@example.org"))
        made = self.invite(as_organiser=True)
        young = particulars_services.Particulars(
            said_on=NOW.date(), born_on=date(2010, 1, 1)
        )
        with pytest.raises(ValidationError, match="18 or over"):
            self.take_up(made, una, particulars=young)


class ClaimTests(InvitationCase):
    def test_everything_on_the_line_stays_and_nobody_is_listed_twice(self):
        gathering = make_gathering(demonstration=self.place)
        made = {
            "sign_up": make_sign_up(
                station=make_station(gathering=gathering), volunteer=self.paper
            ),
            "turnout": make_turnout(gathering=gathering, volunteer=self.paper),
            "entry": make_entry(gathering=gathering, volunteer=self.paper, beets=40),
            "heard": make_acknowledgement(
                version=make_briefing_version(), volunteer=self.paper
            ),
        }
        child = make_volunteer(
            demonstration=self.place, user=None, name="Kit", guardian=self.paper,
            age_band=AgeBand.FROM_13,
        )  # fmt: skip
        before = self.place.volunteers.count()
        claim, user = self.claim(), make_user(email="alf@example.org")
        person = self.take_up(claim, user)
        assert person == self.paper
        assert self.place.volunteers.count() == before
        assert (person.user, person.name) == (user, "Alf Paper")
        assert person.email == "alf@example.org"
        for row in made.values():
            row.refresh_from_db()
            assert row.volunteer.user == user
        assert user.volunteers.get().children.get() == child
        joined = people_services.join(
            demonstration=self.place, user=user, name="Alf Paper", now=NOW
        )
        assert joined == person

    def test_a_claim_lasts_sixty_days_and_a_new_one_ends_the_old(self):
        first = self.claim()
        assert first.expires_at == NOW + timedelta(days=60)
        second = self.claim(now=NOW + timedelta(hours=1))
        first.refresh_from_db()
        assert first.withdrawn_at
        with pytest.raises(ValidationError, match="withdrawn"):
            self.take_up(first, make_user())
        self.take_up(second, make_user())

    def test_only_a_line_without_an_account_that_is_on_the_list(self):
        claim = self.claim()
        self.paper.user = make_user()
        self.paper.save()
        with pytest.raises(ValidationError, match="already has an account"):
            self.claim()
        with pytest.raises(ValidationError, match="already has an account"):
            self.take_up(claim, make_user())
        self.paper.user, self.paper.left_at = None, NOW
        self.paper.save()
        with pytest.raises(ValidationError, match="isn't on the list any more"):
            self.take_up(claim, make_user())

    def test_a_child_has_no_account_but_sixteen_may(self):
        for band in (AgeBand.UNDER_13, AgeBand.FROM_13):
            child = make_volunteer(
                demonstration=self.place, user=None, guardian=self.nora, age_band=band
            )
            with pytest.raises(
                ValidationError,
                match="is under 16, so they are on their guardian's page",
            ):
                self.claim(child)
        child.age_band = AgeBand.FROM_16
        child.save()
        assert self.take_up(self.claim(child), make_user()) == child

    def test_an_account_with_a_line_is_told_of_the_merge(self):
        una = make_volunteer(demonstration=self.place, name="Una Reed")
        claim = self.claim()
        with pytest.raises(ValidationError, match="You're on the list already, as"):
            self.take_up(claim, una.user)
        claim.refresh_from_db()
        assert claim.taken_at is None


class PageTests(InvitationCase):
    """The pages tell the time themselves, so what is open here is open now."""

    def url(self, view, *args):
        return reverse(f"people:{view}", args=[self.place.slug, *args])

    def open_invitation(self, **fields):
        now = clock.now()
        said = {"made_at": now, "expires_at": now + timedelta(days=14)} | fields
        return make_invitation(demonstration=self.place, made_by=self.nora.user, **said)

    def test_the_organiser_invites_and_withdraws(self):
        self.client.force_login(self.nora.user)
        page = self.client.get(self.url("invitations"))
        self.assertContains(page, "No invitation is waiting")
        with self.captureOnCommitCallbacks(execute=True):
            answer = self.client.post(
                self.url("invitations"),
                {"email": "una@example.org", "as_organiser": "yes"},
            )
        self.assertRedirects(answer, self.url("invitations"))
        made = Invitation.objects.get()
        assert made.as_organiser
        assert len(mail.outbox) == 1
        assert made.key in mail.outbox[0].body
        letter = self.place.letters.get()
        page = self.client.get(self.url("letter", letter.pk))
        self.assertContains(page, "[an address for the reader alone]")
        self.assertNotContains(page, made.key)
        page = self.client.get(self.url("invitations"))
        self.assertContains(page, "una@example.org")
        self.client.post(self.url("withdraw_invitation", made.pk))
        made.refresh_from_db()
        assert made.withdrawn_at
        page = self.client.get(self.url("invitations"))
        self.assertContains(page, "withdrawn on")

    def test_a_bad_address_is_named_and_kept(self):
        self.client.force_login(self.nora.user)
        for typed in ("una at home", "una@example.org"):
            self.open_invitation(email="una@example.org")
            page = self.client.post(
                self.url("invitations"), {"email": typed, "as_organiser": "no"}
            )
            assert "email" in page.context["form"].errors
            self.assertContains(page, f'value="{typed}"')

    def test_the_claims_sheet_says_whose_and_where(self):
        self.client.force_login(self.nora.user)
        page = self.client.get(self.url("edit", self.paper.pk))
        self.assertContains(page, "Make a private link")
        self.client.post(self.url("claim", self.paper.pk))
        made = Invitation.objects.get()
        page = self.client.get(self.url("invitations"))
        self.assertContains(page, f"http://127.0.0.1:8000{made.get_absolute_url()}")
        for large in ("", "?large=1"):
            answer = self.client.get(self.url("claim_sheet", made.pk) + large)
            assert answer["Content-Type"] == "application/pdf"
            assert "no-store" in answer["Cache-Control"]
            reader = PdfReader(BytesIO(answer.content))
            text = "".join(page.extract_text() for page in reader.pages)
            assert "Alf Paper" in text
            assert made.key in text.replace("\n", "")
        services.withdraw_invitation(invitation=made, now=NOW)
        assert self.client.get(self.url("claim_sheet", made.pk)).status_code == 404

    def test_an_e_mail_invitation_has_no_sheet(self):
        self.client.force_login(self.nora.user)
        made = self.open_invitation()
        assert self.client.get(self.url("claim_sheet", made.pk)).status_code == 404

    def test_a_refused_claim_says_why(self):
        self.client.force_login(self.nora.user)
        answer = self.client.post(self.url("claim", self.nora.pk), follow=True)
        self.assertContains(answer, "already has an account")

    def test_a_newcomer_makes_an_account_and_comes_back_to_say_yes(self):
        made = self.open_invitation(email="", volunteer=self.paper)
        page = self.client.get(made.get_absolute_url())
        self.assertContains(page, "For Alf Paper, who is on the list already")
        signup = reverse("account_signup")
        self.assertContains(page, f"{signup}?next={made.get_absolute_url()}")
        self.client.post(
            f"{signup}?next={made.get_absolute_url()}",
            {
                "name": "Alf",
                "email": "alf@example.org",
                "next": made.get_absolute_url(),
            },
        )
        code = re.search(r"^\d{6}$", mail.outbox[-1].body, re.MULTILINE).group()
        answer = self.client.post(
            reverse("account_email_verification_sent"), {"code": code}
        )
        self.assertRedirects(answer, made.get_absolute_url())
        page = self.client.get(made.get_absolute_url())
        self.assertContains(page, "I am this person")
        assert "no-store" in page["Cache-Control"]
        self.paper.refresh_from_db()
        assert self.paper.user is None
        answer = self.client.post(made.get_absolute_url())
        self.assertRedirects(answer, self.url("me"))
        self.paper.refresh_from_db()
        assert self.paper.user.email == "alf@example.org"
        page = self.client.get(made.get_absolute_url())
        self.assertContains(page, "has been taken up")

    def test_saying_yes_as_a_volunteer_and_as_an_organiser(self):
        una = verified(make_user(email="una@example.org", name="Una Reed"))
        self.client.force_login(una)
        made = self.open_invitation(email="una@example.org")
        page = self.client.get(made.get_absolute_url())
        self.assertContains(page, 'value="Una Reed"')
        page = self.client.post(made.get_absolute_url(), {"name": "", "phone": "7"})
        assert set(page.context["form"].errors) == {"name", "age_band"}
        self.assertContains(page, 'value="7"')
        self.client.post(
            made.get_absolute_url(), {"name": "Una Reed", "age_band": "adult"}
        )
        assert not una.volunteers.get().is_organiser
        made = self.open_invitation(email="una@example.org", as_organiser=True)
        page = self.client.post(made.get_absolute_url(), {"name": "Una Reed"})
        assert set(page.context["form"].errors) == {"is_adult"}
        self.client.post(
            made.get_absolute_url(), {"name": "Una Reed", "is_adult": "on"}
        )
        assert una.volunteers.get().is_organiser
        assert self.client.get(self.url("list")).status_code == 200

    def test_where_dates_are_kept_the_page_asks_for_one(self):
        self.place.asks_birth_date = True
        self.place.save()
        una = verified(make_user(email="una@example.org"))
        self.client.force_login(una)
        made = self.open_invitation(email="una@example.org", as_organiser=True)
        said = {"name": "Una Reed", "born_on": "1990-02-03"}
        self.client.post(made.get_absolute_url(), said)
        assert una.volunteers.get().born_on == date(1990, 2, 3)

    def test_the_wrong_account_is_told_in_plain_words(self):
        self.client.force_login(verified(make_user()))
        made = self.open_invitation(email="una@example.org", as_organiser=True)
        page = self.client.post(
            made.get_absolute_url(), {"name": "Una Reed", "is_adult": "on"}
        )
        self.assertContains(page, "This invitation was sent to another e-mail address")
        self.assertContains(page, 'value="Una Reed"')

    def test_strangers_reach_no_invitation_of_others(self):
        made = self.open_invitation()
        self.client.force_login(make_organiser().user)
        assert self.client.get(self.url("invitations")).status_code == 404
        there = make_organiser().demonstration
        self.client.force_login(there.volunteers.get().user)
        for view in ("withdraw_invitation", "claim"):
            path = reverse(f"people:{view}", args=[there.slug, made.pk])
            assert self.client.post(path).status_code == 404
        assert self.client.get("/invitation/none-such/").status_code == 404

    def test_the_list_costs_one_query_at_two_sizes(self):
        for _ in range(2):
            with self.assertNumQueries(1):
                page = invitations_page(self.place, NOW)
                str([str(row.taken_by) for row in page.closed])
            for _ in range(5):
                make_invitation(
                    demonstration=self.place, taken_at=NOW, taken_by=make_user()
                )
                make_invitation(demonstration=self.place)
        assert (len(page.open), len(page.closed)) == (5, 5)
