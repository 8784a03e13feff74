"""What is sealed opens with the site's key, old or new, and with nothing else."""

import base64

import pytest
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.hmac import HMAC
from django.test import SimpleTestCase, override_settings

from heritage.common.sealed import (
    MARK,
    PURPOSE,
    WrongKeyError,
    is_sealed,
    reseal,
    seal,
    unseal,
)

OLD = override_settings(SECRET_KEY="the old key", SECRET_KEY_FALLBACKS=[])
NEW = override_settings(SECRET_KEY="the new key", SECRET_KEY_FALLBACKS=[])
TURNED = override_settings(
    SECRET_KEY="the new key", SECRET_KEY_FALLBACKS=["an older key", "the old key"]
)


class SealedTests(SimpleTestCase):
    def test_what_is_sealed_is_unreadable_and_opens_again(self):
        made = seal("JBSWY3DPEHPK3PXP ñ")
        assert is_sealed(made)
        assert "JBSW" not in made
        assert b"JBSW" not in base64.urlsafe_b64decode(made.removeprefix(MARK))
        assert unseal(made) == "JBSWY3DPEHPK3PXP ñ"

    def test_the_same_text_is_never_sealed_alike(self):
        assert seal("A") != seal("A")

    def test_plain_text_is_read_as_it_is_and_can_be_sealed(self):
        assert unseal("JBSWY3DP") == "JBSWY3DP"
        once = reseal("JBSWY3DP")
        assert is_sealed(once)
        assert unseal(once) == "JBSWY3DP"

    def test_another_key_does_not_open_it_and_says_what_to_do(self):
        with OLD:
            made = seal("A")
        with NEW, pytest.raises(WrongKeyError, match="SECRET_KEY_FALLBACKS"):
            unseal(made)

    def test_what_was_changed_does_not_open(self):
        made = seal("A")
        for spoilt in (
            made[:-8],
            made[:30] + "AAAA" + made[34:],
            MARK,
            MARK + "ñ",
            MARK + "%%%",
        ):
            with pytest.raises(WrongKeyError, match="reseal"):
                unseal(spoilt)

    def test_a_key_that_was_changed_still_opens_and_the_new_one_seals(self):
        with OLD:
            made = seal("A")
        with TURNED:
            assert unseal(made) == "A"
            again = reseal(made)
        with NEW:
            assert unseal(again) == "A"
        with OLD, pytest.raises(WrongKeyError, match="SECRET_KEY"):
            unseal(again)

    def test_the_key_is_drawn_as_the_standard_says(self):
        """HKDF by its two steps, from the site's key and its purpose (RFC 5869)."""

        def mac(key, words):
            made = HMAC(key, hashes.SHA256())
            made.update(words)
            return made.finalize()

        drawn = mac(mac(bytes(32), b"the old key"), PURPOSE + b"\x01")
        with OLD:
            token = base64.urlsafe_b64decode(seal("A").removeprefix(MARK))
        # A Fernet token ends with an HMAC under the first half of its key.
        assert mac(drawn[:16], token[:-32]) == token[-32:]
