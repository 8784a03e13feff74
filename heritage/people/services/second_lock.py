"""The second lock's secrets, sealed in the database."""

from collections.abc import Callable
from typing import Any, NamedTuple

from allauth.mfa.models import Authenticator
from django.db import transaction

from heritage.common.sealed import WrongKeyError, reseal

# What a row keeps that opens the lock: the phone's secret, and what the spare codes
# are made from. The library's third way of keeping codes is a list of them.
SECRETS = ("secret", "seed")
SECRET_LISTS = ("migrated_codes",)


class Resealed(NamedTuple):
    """How many rows stand under the key in use now, and whose do not open."""

    done: int
    shut: list[str]


def with_secrets(data: dict[str, Any], change: Callable[[str], str]) -> dict[str, Any]:
    """Return a lock's data with every secret in it changed."""
    made = dict(data)
    for name in SECRETS:
        if name in made:
            made[name] = change(made[name])
    for name in SECRET_LISTS:
        if name in made:
            made[name] = [change(text) for text in made[name]]
    return made


@transaction.atomic
def reseal_all() -> Resealed:
    """Seal every second lock under the key in use, so that older keys may go."""
    done, shut = 0, set()
    rows = Authenticator.objects.select_for_update(of=("self",)).order_by("pk")
    for lock in rows.select_related("user"):
        try:
            lock.data = with_secrets(lock.data, reseal)
        except WrongKeyError:
            shut.add(lock.user.email)
            continue
        lock.save(update_fields=["data"])
        done += 1
    return Resealed(done, sorted(shut))
