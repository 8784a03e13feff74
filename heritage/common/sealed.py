"""Small secrets kept unreadable in the database, under a key drawn from the site's.

A copy of the database alone, a backup that strays, gives nothing away. The key is
drawn from ``SECRET_KEY``; what was sealed under one of ``SECRET_KEY_FALLBACKS`` is
still read, so that the key can be changed.

The key is drawn by HKDF, the seal is Fernet's. ``manage.py reseal`` moves all to the
key in use; a key that fits none is told to the owner (a page) and to the keeper (the
log).
"""

from base64 import urlsafe_b64encode
from functools import cache

from cryptography.fernet import Fernet, InvalidToken, MultiFernet
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from django.conf import settings
from django.utils.encoding import force_bytes

# Stands before what is sealed, so that it is told from what is not, and the way it
# was sealed from a later one.
MARK = "sealed-1:"
# One key of the site's makes several: this one opens nothing else.
PURPOSE = b"heritage.common.sealed 1"
KEY_BYTES = 32


class WrongKeyError(Exception):
    """Something sealed that no key the site has been given opens."""

    def __init__(self) -> None:
        super().__init__(
            "A sealed secret opens with neither SECRET_KEY nor any of "
            "SECRET_KEY_FALLBACKS. If the key was changed, put the old one into "
            "SECRET_KEY_FALLBACKS, start the site again and run manage.py reseal. If "
            "the old key is lost, take the second lock off each account with "
            "manage.py take_off_second_lock, and let its owner put on a new one."
        )


def is_sealed(text: str) -> bool:
    """Tell what `seal` made from anything else."""
    return text.startswith(MARK)


def seal(text: str) -> str:
    """Make text unreadable to anybody without the site's key."""
    return MARK + _keys().encrypt(text.encode()).decode("ascii")


def unseal(text: str) -> str:
    """Return what was sealed; text that never was is returned as it is.

    Raises
    ------
    WrongKeyError
        If it was sealed under another key than any the site has, or was changed.
    """
    if not is_sealed(text):
        return text
    try:
        return _keys().decrypt(text.removeprefix(MARK)).decode()
    except (InvalidToken, ValueError) as error:
        raise WrongKeyError from error


def reseal(text: str) -> str:
    """Seal text anew under the key in use, whether it was sealed before or not."""
    return seal(unseal(text))


def _keys() -> MultiFernet:
    """Return the key to seal with, and after it those that only open."""
    secrets = [settings.SECRET_KEY, *settings.SECRET_KEY_FALLBACKS]
    return MultiFernet([_drawn_from(force_bytes(secret)) for secret in secrets])


@cache
def _drawn_from(secret: bytes) -> Fernet:
    """Draw a key from one of the site's (HKDF, RFC 5869)."""
    drawn = HKDF(algorithm=SHA256(), length=KEY_BYTES, salt=None, info=PURPOSE)
    return Fernet(urlsafe_b64encode(drawn.derive(secret)))
