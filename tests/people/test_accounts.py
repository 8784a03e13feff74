"""Accounts whole: code, password, the second lock, and who is asked for it."""

import re
from datetime import timedelta
from io import StringIO

import pytest
from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from allauth.mfa.totp.internal.auth import (
    format_hotp_value,
    hotp_value,
    yield_hotp_counters_from_time,
)
from django.core import mail
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.test import TestCase, TransactionTestCase, override_settings
from django.urls import reverse

from heritage.common import clock
from heritage.people.models import User
from heritage.people.services import make_organiser as make_organiser_of
from heritage.people.services import stop_organiser
from tests.factories import (
    make_demonstration,
    make_gathering,
    make_organiser,
    make_user,
    make_volunteer,
)
from tests.people.world import make_keeper
from tests.responses import CommittingClient

PASSWORD = "seven wet stooks in a row"
LOCK = "/account/second-lock/"


def verified(user):
    EmailAddress.objects.create(
        user=user, email=user.email, verified=True, primary=True
    )
    return user


def totp(secret):
    """Work out the six figures that a phone with the secret shows now."""
    # The middle one: the first would be too old as soon as half a minute ends.
    _before, counter, _after = yield_hotp_counters_from_time()
    return format_hotp_value(hotp_value(secret, counter))


class AccountCase(TestCase):
    client_class = CommittingClient

    def setUp(self):
        # Codes already used and tries already made are remembered in the cache.
        cache.clear()

    def ask(self, email, **extra):
        return self.client.post(reverse("account_login"), {"login": email, **extra})

    def mailed_code(self):
        return re.search(r"^\d{6}$", mail.outbox[-1].body, re.MULTILINE).group()

    def by_code(self, user, onward="/"):
        answer = self.client.post(
            reverse("account_login"), {"login": user.email, "next": onward}
        )
        assert answer.status_code == 302
        return self.client.post(
            reverse("account_confirm_login_code"),
            {"code": self.mailed_code(), "next": onward},
        )

    def signed_in(self):
        return "_auth_user_id" in self.client.session


class PasswordTests(AccountCase):
    @classmethod
    def setUpTestData(cls):
        cls.ann = verified(make_user(email="ann@example.org"))

    def set_password(self, password=PASSWORD):
        return self.client.post(
            reverse("account_set_password"),
            {"password1": password, "password2": password},
        )

    def by_password(self, password=PASSWORD):
        return self.client.post(
            reverse("account_login"), {"login": "ann@example.org", "password": password}
        )

    def test_the_page_offers_the_code_first_and_the_password_second(self):
        page = self.client.get(reverse("account_login"), {"next": "/new/"})
        self.assertContains(page, "Send me a code")
        self.assertContains(page, "?next=%2Fnew%2F&amp;way=password")
        self.assertNotContains(page, 'type="password"')
        page = self.client.get(reverse("account_login"), {"way": "password"})
        self.assertContains(page, 'type="password"')
        self.assertContains(page, "Send me a code instead")

    def test_the_rules_for_a_password_stand_as_a_list_in_their_hint(self):
        """A paragraph can hold no list: a browser would end it before the list."""
        self.by_code(self.ann)
        page = self.client.get(reverse("account_set_password")).content.decode()
        hint = re.search(
            r'<(\w+)[^>]*id="id_password1_helptext"[^>]*>(.*?)</\1>', page, re.DOTALL
        )
        assert hint[1] == "div"
        assert hint[2].strip().startswith("<ul><li>")
        assert re.findall(r"<p\b(?:(?!</p>).)*<ul", page, re.DOTALL) == []

    def test_set_change_and_take_away(self):
        self.by_code(self.ann)
        self.assertContains(
            self.client.get(reverse("account_set_password")), "Set a password"
        )
        self.set_password()
        assert "A password was set" in mail.outbox[-1].subject
        self.client.logout()
        assert self.by_password().status_code == 302
        assert self.signed_in()
        new = "nine dry stooks in a row"
        self.client.post(
            reverse("account_change_password"),
            {"oldpassword": PASSWORD, "password1": new, "password2": new},
        )
        self.client.logout()
        self.assertContains(self.by_password(), "is wrong")
        self.by_password(new)
        self.assertContains(self.client.get(reverse("take_away_password")), "Remove it")
        answer = self.client.post(reverse("take_away_password"))
        self.assertRedirects(answer, reverse("account_set_password"))
        assert "removed" in mail.outbox[-1].subject
        self.ann.refresh_from_db()
        assert not self.ann.has_usable_password()
        assert self.signed_in()
        self.client.logout()
        self.assertContains(self.by_password(new), "is wrong")

    def test_a_weak_password_is_refused_and_says_why(self):
        self.by_code(self.ann)
        self.assertContains(self.set_password("flax"), "at least 10 characters")
        self.assertContains(self.set_password("ann@example.org"), "too similar")

    def test_a_forgotten_password_is_no_dead_end(self):
        self.by_code(self.ann)
        self.set_password()
        self.client.logout()
        page = self.client.get(reverse("account_login"), {"way": "password"})
        self.assertContains(page, reverse("forgotten"))
        page = self.client.get(reverse("forgotten"), follow=True)
        self.assertContains(page, "You need no password")
        self.by_code(self.ann)
        self.assertRedirects(
            self.client.get(reverse("forgotten")), reverse("take_away_password")
        )
        self.client.post(reverse("take_away_password"))
        self.set_password("a new one, quite unlike")
        self.ann.refresh_from_db()
        assert self.ann.check_password("a new one, quite unlike")

    def test_an_old_session_cannot_take_the_password_away(self):
        self.ann.set_password(PASSWORD)
        self.ann.save()
        self.client.force_login(self.ann)
        page = self.client.post(reverse("take_away_password"))
        self.assertContains(page, "sign out, sign in with a code")
        self.ann.refresh_from_db()
        assert self.ann.has_usable_password()

    def test_without_a_password_there_is_none_to_take(self):
        self.client.force_login(self.ann)
        self.assertRedirects(
            self.client.get(reverse("take_away_password")),
            reverse("account_set_password"),
        )

    def test_the_address_is_changed_by_a_code_sent_to_the_new_one(self):
        self.by_code(self.ann)
        page = self.client.get(reverse("account_email"))
        self.assertContains(page, "You sign in with <strong>ann@example.org")
        self.client.post(
            reverse("account_email"), {"email": "new@example.org", "action_add": ""}
        )
        page = self.client.get(reverse("account_email"))
        assert mail.outbox[-1].to == ["new@example.org"]
        code = self.mailed_code()
        self.client.post(reverse("account_email_verification_sent"), {"code": code})
        self.ann.refresh_from_db()
        assert self.ann.email == "new@example.org"
        assert [row.email for row in self.ann.emailaddress_set.all()] == [
            "new@example.org"
        ]


@override_settings(ACCOUNT_RATE_LIMITS={})
class ThrottleTests(AccountCase):
    @classmethod
    def setUpTestData(cls):
        cls.ann = verified(make_user(email="ann@example.org"))

    def answers(self, email):
        url, said = reverse("account_login"), {"login": email}
        # Each from a browser of its own: one that waits for a code asks for no other.
        answers = [self.client_class().post(url, said) for _ in range(5)]
        return [(one.status_code, one.get("Location")) for one in answers]

    def test_known_and_unknown_addresses_are_answered_alike_and_held_alike(self):
        known = self.answers("ann@example.org")
        self.client.logout()
        cache.clear()
        assert self.answers("nobody@example.org") == known
        assert known[0][0] == 302
        # The fourth letter within a minute is sent to neither.
        assert {status for status, _ in known[3:]} == {200}
        # The same words within a minute go once; each code is another letter.
        assert len(mail.outbox) == 3 + 1

    def test_passwords_are_not_guessed_for_long(self):
        self.ann.set_password(PASSWORD)
        self.ann.save()
        for _ in range(6):
            self.ask("ann@example.org", password="wrong")
        page = self.ask("ann@example.org", password=PASSWORD)
        assert not self.signed_in()
        self.assertContains(page, "Too many")

    def test_too_many_tries_are_told_in_our_words(self):
        for _ in range(30):
            self.client.get(reverse("account_login"))
        page = self.ask("ann@example.org")
        for _ in range(40):
            page = self.ask("ann@example.org")
        assert page.status_code == 429
        self.assertContains(page, "Wait five minutes", status_code=429)


@override_settings(ORGANISERS_NEED_MFA=True)
class SecondLockTests(AccountCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.now = clock.now()
        cls.nora = make_organiser(
            demonstration=cls.place, joined_at=cls.now - timedelta(days=30)
        )
        verified(cls.nora.user)
        cls.people = reverse("people:list", args=[cls.place.slug])

    def put_on(self):
        page = self.client.get(reverse("mfa_activate_totp"))
        secret = page.context["form"].secret
        wrong = self.client.post(reverse("mfa_activate_totp"), {"code": "000000"})
        assert "code" in wrong.context["form"].errors
        answer = self.client.post(reverse("mfa_activate_totp"), {"code": totp(secret)})
        return secret, answer

    def test_the_whole_walk(self):
        answer = self.by_code(self.nora.user, self.people)
        self.assertRedirects(answer, self.people, fetch_redirect_response=False)
        answer = self.client.get(self.people)
        self.assertRedirects(answer, f"{LOCK}?next={self.people}")
        self.assertContains(self.client.get(answer["Location"]), "A second lock")
        secret, answer = self.put_on()
        codes = self.client.get(answer["Location"])
        spare = codes.context["unused_codes"]
        assert len(spare) == 10
        self.assertContains(codes, spare[0])
        self.assertContains(codes, "I've kept them: continue")
        self.assertRedirects(self.client.get(LOCK), self.people)
        self.client.logout()
        cache.clear()
        answer = self.by_code(self.nora.user, self.people)
        assert answer["Location"].startswith(reverse("mfa_authenticate"))
        assert not self.signed_in()
        self.assertContains(self.client.get(reverse("mfa_authenticate")), "Phone lost?")
        bad = self.client.post(reverse("mfa_authenticate"), {"code": "123"})
        assert "code" in bad.context["form"].errors
        self.client.post(reverse("mfa_authenticate"), {"code": totp(secret)})
        assert self.client.get(self.people).status_code == 200
        for _ in range(2):
            self.client.logout()
            self.by_code(self.nora.user)
            self.client.post(reverse("mfa_authenticate"), {"code": spare[0]})
        assert not self.signed_in()

    def test_taking_it_off_closes_the_pages_again(self):
        self.by_code(self.nora.user)
        self.put_on()
        assert self.client.get(self.people).status_code == 200
        self.assertContains(
            self.client.get(reverse("mfa_deactivate_totp")), "Take the second lock off?"
        )
        self.client.post(reverse("mfa_deactivate_totp"))
        assert not Authenticator.objects.filter(user=self.nora.user).exists()
        assert self.client.get(self.people).status_code == 302

    def test_the_locks_pages_ask_once_more_who_it_is(self):
        self.client.force_login(self.nora.user)
        secret, _ = self.put_on()
        self.client.logout()
        self.client.force_login(self.nora.user)
        answer = self.client.get(reverse("mfa_view_recovery_codes"), follow=True)
        self.assertContains(answer, "Please confirm it")
        cache.clear()
        answer = self.client.post(
            answer.request["PATH_INFO"] + "?" + answer.request["QUERY_STRING"],
            {"code": totp(secret)},
        )
        page = self.client.get(reverse("mfa_view_recovery_codes"))
        self.assertContains(page, "Each lets you in once")
        page = self.client.get(reverse("mfa_generate_recovery_codes"))
        self.assertContains(page, "The 10 you have stop working")
        self.assertContains(self.client.get(reverse("mfa_index")), "10 left.")

    def test_with_a_lock_the_password_goes_by_the_lock(self):
        user = self.nora.user
        user.set_password(PASSWORD)
        user.save()
        self.client.force_login(user)
        Authenticator.objects.create(user=user, type="totp", data={"secret": "A" * 32})
        answer = self.client.post(reverse("take_away_password"), follow=True)
        self.assertContains(answer, "Please confirm it")
        self.assertContains(answer, "Use a code from your phone")

    def test_what_is_asked_is_kept_until_the_lock_is_on_but_a_post_is_not(self):
        self.client.force_login(self.nora.user)
        answer = self.client.post(reverse("people:add", args=[self.place.slug]), {})
        self.assertRedirects(answer, f"{LOCK}?next=/")

    def test_till_then_an_organiser_is_what_every_volunteer_is(self):
        self.client.force_login(self.nora.user)
        gathering = make_gathering(demonstration=self.place, lead=self.nora)
        page = self.client.get(reverse("people:me", args=[self.place.slug]))
        assert page.status_code == 200
        assert f'href="{self.people}"' not in page.content.decode()
        assert not page.context["standing"].is_organiser
        gate = reverse("gatherings:gate", args=[self.place.slug, gathering.pk])
        assert self.client.get(gate, follow=True).context["on"] is not None

    def test_the_first_day_is_free_and_says_until_when(self):
        new = make_organiser(demonstration=make_demonstration(), joined_at=self.now)
        self.client.force_login(new.user)
        page = self.client.get(reverse("people:list", args=[new.demonstration.slug]))
        self.assertContains(page, "Your account needs a second lock")
        new.organiser_since = self.now - timedelta(hours=25)
        new.save()
        page = self.client.get(reverse("people:list", args=[new.demonstration.slug]))
        assert page.status_code == 302

    def test_the_first_day_counts_from_the_role_and_not_from_joining(self):
        """Somebody here for a year is asked to organise; and later once more."""
        ann = make_volunteer(
            demonstration=self.place, joined_at=self.now - timedelta(days=365)
        )
        self.client.force_login(ann.user)
        long_ago = self.now - timedelta(days=3)
        for since, status in ((self.now, 200), (long_ago, 302), (self.now, 200)):
            make_organiser_of(volunteer=ann, now=since)
            assert self.client.get(self.people).status_code == status
            stop_organiser(volunteer=ann)
            assert self.client.get(self.people).status_code == 403

    def test_asked_by_a_page_today_somebody_of_last_year_has_a_day(self):
        ann = make_volunteer(
            demonstration=self.place, joined_at=self.now - timedelta(days=365)
        )
        self.by_code(self.nora.user)
        self.put_on()
        give = reverse("people:make_organiser", args=[self.place.slug, ann.pk])
        assert self.client.post(give).status_code == 302
        self.client.force_login(ann.user)
        page = self.client.get(self.people)
        self.assertContains(page, "Your account needs a second lock")

    def test_setting_up_and_the_first_evening_are_not_held_up(self):
        self.client.force_login(verified(make_user()))
        mine = make_demonstration()
        make_organiser(
            demonstration=mine, user=User.objects.latest("pk"), joined_at=self.now
        )
        post = reverse("gatherings:post", args=[mine.slug])
        assert self.client.get(post).status_code == 200

    def test_a_keeper_has_no_first_day(self):
        keeper = make_keeper()
        self.client.force_login(keeper)
        assert self.client.get(self.people).status_code == 302
        Authenticator.objects.create(user=keeper, type="totp", data={"secret": "A"})
        assert self.client.get(self.people).status_code == 200

    def test_a_keeper_who_joined_lately_has_none_either(self):
        keeper = make_keeper()
        make_volunteer(demonstration=self.place, user=keeper, joined_at=self.now)
        self.client.force_login(keeper)
        assert self.client.get(self.people).status_code == 302
        me = self.client.get(reverse("people:me", args=[self.place.slug]))
        assert me.status_code == 200

    def test_volunteers_are_not_asked(self):
        ann = make_volunteer(demonstration=self.place)
        self.client.force_login(ann.user)
        with self.assertNumQueries(4):
            assert self.client.get(self.people).status_code == 403

    def test_the_way_back_is_to_this_site_alone(self):
        self.client.force_login(self.nora.user)
        self.client.get(LOCK, {"next": "https://elsewhere.example/"})
        assert self.client.session["after_second_lock"] == ""
        Authenticator.objects.create(user=self.nora.user, type="totp", data={})
        self.assertRedirects(
            self.client.get(LOCK), reverse("mfa_index"), fetch_redirect_response=False
        )


class NoticeTests(TransactionTestCase):
    def test_the_owner_is_told_that_the_lock_is_on(self):
        """The library writes on commit, within the request that commits."""
        cache.clear()
        self.client.force_login(verified(make_user()))
        page = self.client.get(reverse("mfa_activate_totp"))
        code = totp(page.context["form"].secret)
        self.client.post(reverse("mfa_activate_totp"), {"code": code})
        assert mail.outbox[-1].subject == "The second lock was turned on"
        assert "Was it you? Then there's nothing to do" in mail.outbox[-1].body


class LostPhoneTests(TestCase):
    def take_off(self, email):
        said = StringIO()
        with self.captureOnCommitCallbacks(execute=True):
            call_command("take_off_second_lock", email, stdout=said)
        return said.getvalue()

    def test_the_keeper_takes_the_lock_off_and_the_owner_hears_of_it(self):
        user = make_user(email="ann@example.org")
        for kind in ("totp", "recovery_codes"):
            Authenticator.objects.create(user=user, type=kind, data={})
        assert "with just a code by e-mail" in self.take_off("ANN@example.org")
        assert not Authenticator.objects.exists()
        assert mail.outbox[0].to == ["ann@example.org"]
        assert f"http://127.0.0.1:8000{LOCK}" in mail.outbox[0].body
        with pytest.raises(CommandError, match="no second lock"):
            self.take_off("ann@example.org")
        with pytest.raises(CommandError, match="no account"):
            self.take_off("nobody@example.org")


class RoleTests(TestCase):
    def test_organiser_here_and_volunteer_there(self):
        """One account walks both lists: its pages here, and only its own there."""
        here, there = make_demonstration(), make_demonstration()
        nora = make_organiser(demonstration=here)
        make_volunteer(demonstration=there, user=nora.user)
        self.client.force_login(nora.user)
        for place, status in ((here, 200), (there, 403)):
            answer = self.client.get(reverse("people:list", args=[place.slug]))
            assert answer.status_code == status
            me = self.client.get(reverse("people:me", args=[place.slug]))
            assert me.status_code == 200

    def test_a_role_taken_away_ends_with_the_open_sessions_next_page(self):
        place = make_demonstration()
        nora = make_organiser(demonstration=place)
        mary = make_organiser(demonstration=place)
        url = reverse("people:list", args=[place.slug])
        self.client.force_login(mary.user)
        assert self.client.get(url).status_code == 200
        other = self.client_class()
        other.force_login(nora.user)
        other.post(reverse("people:stop_organiser", args=[place.slug, mary.pk]))
        assert self.client.get(url).status_code == 403
