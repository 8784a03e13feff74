"""Signing in by a code that comes by mail, as the pages show it."""

import re

from allauth.account.models import EmailAddress
from django.core import mail
from django.test import TestCase, override_settings
from django.urls import reverse

from heritage.people.models import User
from tests.responses import CommittingClient


@override_settings(
    ROOT_URLCONF="tests.common.look_urls", LOGIN_REDIRECT_URL="/specimen/"
)
class SignInTests(TestCase):
    client_class = CommittingClient

    @classmethod
    def setUpTestData(cls):
        cls.user = User.objects.create_user(email="ann@example.org")
        EmailAddress.objects.create(
            user=cls.user, email=cls.user.email, verified=True, primary=True
        )

    def ask_for_code(self, email="ann@example.org"):
        return self.client.post(reverse("account_login"), {"login": email}, follow=True)

    def test_the_first_page_asks_for_an_address_and_no_password(self):
        html = self.client.get(reverse("account_login")).content.decode()
        assert "Send me a code" in html
        assert 'type="email"' in html
        assert 'type="password"' not in html
        assert 'autocomplete="email"' in html

    def test_the_code_from_the_mail_signs_in(self):
        page = self.ask_for_code()
        assert "<h1>Enter the code</h1>" in page.content.decode()
        code = re.search(r"^\d{6}$", mail.outbox[0].body, re.MULTILINE).group()
        assert mail.outbox[0].subject == f"{code} is your sign-in code"
        response = self.client.post(
            reverse("account_confirm_login_code"), {"code": code}, follow=True
        )
        assert response.redirect_chain == [("/specimen/", 302)]
        assert "my account" in response.content.decode()

    def test_a_wrong_code_is_named_beside_its_field(self):
        self.ask_for_code()
        response = self.client.post(
            reverse("account_confirm_login_code"), {"code": "000000"}
        )
        html = response.content.decode()
        assert 'id="id_code_error"' in html
        assert 'aria-invalid="true"' in html

    def test_an_unknown_address_sees_the_same_page(self):
        """Nobody learns from the page who has an account."""
        known = self.ask_for_code().content.decode()
        self.client.logout()
        unknown = self.ask_for_code("who@example.org").content.decode()
        assert re.findall("<h1>.*</h1>", known) == re.findall("<h1>.*</h1>", unknown)
        assert "no account here has that address" in mail.outbox[1].body

    def test_pages_of_the_account_wear_the_look(self):
        self.client.force_login(self.user)
        for name in ("account_email", "account_logout", "mfa_index"):
            html = self.client.get(reverse(name), follow=True).content.decode()
            assert 'class="book"' in html, name
            assert html.count("<h1>") == 1, name
            assert html.count("<main") == 1, name
            assert "style=" not in html, name

    def test_signing_up_asks_for_name_and_address(self):
        html = self.client.get(reverse("account_signup")).content.decode()
        assert "<h1>Make an account</h1>" in html
        assert html.index("Your name") < html.index("id_email")

    def test_a_new_account_begins_with_a_code(self):
        answers = {"name": "Rose Tully", "email": "rose@example.org"}
        page = self.client.post(reverse("account_signup"), answers, follow=True)
        assert "<h1>Confirm your e-mail address</h1>" in page.content.decode()
        assert "confirms your e-mail address" in mail.outbox[0].subject

    def test_who_has_an_account_is_told_by_mail_alone(self):
        answers = {"name": "Ann", "email": "ann@example.org"}
        page = self.client.post(reverse("account_signup"), answers, follow=True)
        assert "<h1>Confirm your e-mail address</h1>" in page.content.decode()
        assert "you have one already" in mail.outbox[0].body
