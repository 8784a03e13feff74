"""Every address of the site, written to: by those who may not, and with nonsense."""

from copy import copy
from typing import Any

import pytest
from django.db import transaction
from django.test import Client, TestCase

from heritage.common.access import Role
from tests.factories import make_user
from tests.people.test_access import AT, KWARG, OF_NO_ROW, client_of, ours, path_to
from tests.people.world import make_world
from tests.responses import finish, refused_in_short

# What a form of ours may be sent: too long, of another kind, half an address.
NONSENSE = {
    "volunteer": "x",
    "sign_up": "-1",
    "station": "99999999999999999999",
    "kept": "x",
    "gone": "x",
    "name": "\0" + "x" * 5000,
    "title": "",
    "email": "not an address",
    "text": "x" * 100_000,
    "day": "2026-13-45",
    "starts": "25:61",
    "ends": "x",
    "happened_at": "yesterday",
    "weekdays": ["7", "x"],
    "days": ["x"],
    "key": "x",
    "number": "x",
    "beets": "1e400",
    "weight_kg": "NaN",
    "area_m2": "Infinity",
    "width_m": "-3",
    "foreseen": "x",
    "form-TOTAL_FORMS": "99999",
    "stations-TOTAL_FORMS": "x",
    "next": "https://elsewhere.example/",
}


def write(client: Client, path: str, data: dict[str, Any]) -> Any:
    """Post, look at the answer, and leave database and client as they were."""
    cookies = copy(client.cookies)
    with transaction.atomic():
        answer = client.post(path, data)
        transaction.set_rollback(True)
    client.cookies = cookies
    finish(answer)
    return answer


@pytest.mark.any_database
class EveryAddressWrittenToTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.world, cls.elsewhere = make_world(), make_world()

    def setUp(self):
        self.enterContext(refused_in_short())

    def test_nonsense_is_answered_and_never_breaks_a_page(self):
        """An organiser sends nothing at all, and then what no form ever would."""
        organiser = client_of(self.world.users["organiser"])
        for address in ours():
            for data in ({}, NONSENSE):
                with self.subTest(address=address.name, empty=not data):
                    answer = write(organiser, path_to(address, self.world), data)
                    assert answer.status_code < 500

    def test_nobody_writes_above_their_role(self):
        users = self.world.users
        askers = {
            "visitor": (client_of(None), Role.VISITOR),
            "account": (client_of(make_user()), Role.ACCOUNT),
            "volunteer": (client_of(users["volunteer"]), Role.VOLUNTEER),
            "strange organiser": (
                client_of(self.elsewhere.users["organiser"]),
                Role.ACCOUNT,
            ),
        }
        for address in ours():
            for asker, (client, role) in askers.items():
                if role >= address.role:
                    continue
                with self.subTest(address=address.name, asker=asker):
                    answer = write(client, path_to(address, self.world), {})
                    # The one redirect that a refusal may be is to the sign-in page.
                    if answer.status_code == 302:
                        assert answer["Location"].startswith("/account/login/")
                    else:
                        assert answer.status_code in {403, 404, 405}

    def test_another_demonstrations_rows_are_not_written_to(self):
        organiser = client_of(self.world.users["organiser"])
        mine = self.world.demonstration.slug
        theirs = self.elsewhere.demonstration.slug
        for address in ours():
            if not KWARG.search(address.route.replace(AT, "")):
                continue
            if not address.route.startswith(AT) or OF_NO_ROW.search(address.route):
                continue
            path = path_to(address, self.elsewhere).replace(f"/{theirs}/", f"/{mine}/")
            with self.subTest(address=address.name):
                assert write(organiser, path, {}).status_code in {404, 405}
