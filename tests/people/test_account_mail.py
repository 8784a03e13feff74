"""The letters of the account library: in both forms, through the queue."""

import re
from datetime import timedelta

from django.core import mail
from django.test import TestCase, override_settings
from django.urls import reverse
from django_tasks import task_backends

from heritage.people.accounts.services import deliver_account_letter
from heritage.people.adapter import AccountMail
from heritage.people.models import AccountLetter
from tests.factories import make_user

DUMMY = {"default": {"BACKEND": "django_tasks.backends.dummy.DummyBackend"}}


class AccountMailTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.maeve = make_user(email="maeve@example.org", name="Maeve Orr")

    def ask_for_code(self):
        with self.captureOnCommitCallbacks(execute=True):
            self.client.post(
                reverse("account_request_login_code"), {"email": "maeve@example.org"}
            )

    def test_a_code_comes_as_text_and_as_html_that_say_the_same(self):
        self.ask_for_code()
        (letter,) = mail.outbox
        code = re.search(r"\b\d{6}\b", letter.body).group()
        (html,) = letter.alternatives
        assert html.mimetype == "text/html"
        assert code in html.content
        assert letter.to == ["maeve@example.org"]

    def test_a_code_is_of_use_for_minutes_and_a_notice_for_a_day(self):
        self.ask_for_code()
        AccountMail().send_mail("account/email/password_changed", "m@example.org", {})
        code, notice = AccountLetter.objects.order_by("pk")
        assert code.good_until - code.queued_at == timedelta(minutes=15)
        assert notice.good_until - notice.queued_at == timedelta(days=1)

    @override_settings(TASKS=DUMMY)
    def test_it_waits_in_the_queue_for_the_worker(self):
        self.ask_for_code()
        assert mail.outbox == []
        (waiting,) = task_backends["default"].results
        assert waiting.task == deliver_account_letter
        deliver_account_letter.call(*waiting.args)
        assert len(mail.outbox) == 1
