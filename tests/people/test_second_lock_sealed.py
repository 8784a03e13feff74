"""The second lock's secrets are unreadable in the database, and still let in."""

import json
from io import StringIO

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from allauth.mfa.totp.internal.auth import TOTP, generate_totp_secret
from django.core.cache import cache
from django.core.management import CommandError, call_command
from django.db import connection
from django.test import override_settings
from django.urls import reverse

from heritage.common.sealed import is_sealed, unseal
from heritage.people.accounts.services import reseal_all
from heritage.people.adapter import SealedLock
from tests.factories import make_user
from tests.people.test_accounts import AccountCase, totp, verified

OLD = override_settings(SECRET_KEY="the old key", SECRET_KEY_FALLBACKS=[])
NEW = override_settings(SECRET_KEY="the new key", SECRET_KEY_FALLBACKS=[])
TURNED = override_settings(
    SECRET_KEY="the new key", SECRET_KEY_FALLBACKS=["the old key"]
)
SHUT = "We can't check your second lock just now"


def stored():
    """Return what stands in the table itself, past every model."""
    with connection.cursor() as asked:
        asked.execute("SELECT data FROM mfa_authenticator ORDER BY id")
        return [
            json.loads(row[0]) if isinstance(row[0], str) else row[0]
            for row in asked.fetchall()
        ]


def plain_lock(user, secret):
    Authenticator.objects.create(user=user, type="totp", data={"secret": secret})
    Authenticator.objects.create(
        user=user,
        type="recovery_codes",
        data={"seed": "5eed" * 20, "used_mask": 5, "viewed_at": 1.5},
    )


class LockCase(AccountCase):
    @classmethod
    def setUpTestData(cls):
        cls.ann = verified(make_user(email="ann@example.org"))

    def unlock(self, code):
        self.client.logout()
        cache.clear()
        self.by_code(self.ann)
        return self.client.post(reverse("mfa_authenticate"), {"code": code})


class SealedLockTests(LockCase):
    def test_put_on_by_the_pages_it_is_sealed_and_lets_in(self):
        self.by_code(self.ann)
        page = self.client.get(reverse("mfa_activate_totp"))
        secret = page.context["form"].secret
        answer = self.client.post(reverse("mfa_activate_totp"), {"code": totp(secret)})
        spare = self.client.get(answer["Location"]).context["unused_codes"]
        lock, codes = stored()
        assert secret not in json.dumps([lock, codes])
        assert is_sealed(lock["secret"])
        assert is_sealed(codes["seed"])
        assert unseal(lock["secret"]) == secret
        # Nor does it stay behind in the session of whoever put it on.
        assert secret not in json.dumps(dict(self.client.session))
        self.unlock(totp(secret))
        assert self.signed_in()
        self.unlock(spare[0])
        assert self.signed_in()
        self.unlock(spare[0])
        assert not self.signed_in()

    def test_a_plain_row_of_the_version_before_still_opens(self):
        secret = generate_totp_secret()
        plain_lock(self.ann, secret)
        self.unlock(totp(secret))
        assert self.signed_in()

    def test_the_library_uses_our_seal(self):
        assert isinstance(TOTP.activate(self.ann, "A" * 32), TOTP)
        adapter = SealedLock()
        assert adapter.decrypt(stored()[0]["secret"]) == "A" * 32


class KeyTests(LockCase):
    """The clock of a code is the machine's; the keys change around it."""

    def put_on(self):
        secret = generate_totp_secret()
        TOTP.activate(self.ann, secret)
        return secret, RecoveryCodes.activate(self.ann).generate_codes()

    def test_after_a_change_of_key_the_old_one_opens_until_all_is_sealed_anew(self):
        with OLD:
            secret, spare = self.put_on()
        with TURNED:
            self.unlock(totp(secret))
            assert self.signed_in()
            said = StringIO()
            call_command("reseal", stdout=said)
            assert "Sealed under the key in use: 2." in said.getvalue()
        with NEW:
            self.unlock(totp(secret))
            assert self.signed_in()
            self.unlock(spare[3])
            assert self.signed_in()

    def test_a_wrong_key_is_told_to_the_owner_and_to_the_keeper(self):
        with OLD:
            secret, _ = self.put_on()
        with (
            NEW,
            self.assertLogs("heritage.people.request", "ERROR") as told,
            self.assertLogs("django.request", "ERROR"),
        ):
            answer = self.unlock(totp(secret))
        self.assertContains(answer, SHUT, status_code=503)
        assert not self.signed_in()
        assert "SECRET_KEY_FALLBACKS" in told.output[0]
        assert "take_off_second_lock" in told.output[0]

    def test_sealing_anew_names_whose_lock_does_not_open_and_does_the_rest(self):
        with OLD:
            self.put_on()
        other = make_user(email="bob@example.org")
        with NEW:
            plain_lock(other, "B" * 32)
            said = StringIO()
            with pytest.raises(CommandError, match="left as they are: ann@example"):
                call_command("reseal", stdout=said)
            assert "Sealed under the key in use: 2." in said.getvalue()
            rows = Authenticator.objects.filter(user=other)
            assert all(
                is_sealed(row.data.get("secret") or row.data["seed"]) for row in rows
            )
        with OLD:
            lock = Authenticator.objects.get(user=self.ann, type="totp")
            assert len(unseal(lock.data["secret"])) == 32

    def test_codes_kept_as_a_list_are_sealed_one_by_one(self):
        Authenticator.objects.create(
            user=self.ann,
            type="recovery_codes",
            data={"migrated_codes": ["abc123", "def456"]},
        )
        assert reseal_all() == (1, [])
        assert all(map(is_sealed, stored()[0]["migrated_codes"]))
        codes = RecoveryCodes(Authenticator.objects.get())
        assert codes.validate_code("def456")
        assert codes.get_unused_codes() == ["abc123"]
