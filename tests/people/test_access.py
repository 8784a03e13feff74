"""Every address of the site, asked for by everybody who might ask."""

import re
from collections.abc import Iterator
from typing import Any, NamedTuple

import pytest
from django.conf import settings
from django.db import connection
from django.test import Client, TestCase
from django.urls import URLResolver, get_resolver

from heritage.common.access import Role, declared_role
from heritage.people.request import OTHERS
from tests.factories import make_user
from tests.people.world import World, make_keeper, make_world
from tests.responses import finish, refused_in_short
from tests.sheets_once import one_sheet_for_all

AT = "at/<slug:demonstration>/"
# A stage, a sheet of it and a pack are of every demonstration.
OF_NO_ROW = re.compile(r"<slug:(?:stage|sheet|pack)>")
KWARG = re.compile(r"<(?:\w+:)?(?P<name>\w+)>")

# What stands in an address, by the folder it stands in: one line for each kind of row.
BY_FOLDER = {
    "people/": "volunteer",
    "people/invitations/": "invitation",
    "people/claims/": "claim",
    "people/me/children/": "child",
    "people/letters/": "letter",
    "people/letters/accounts/": "account_letter",
    "people/competences/": "competence",
    "people/skills/": "skill",
    "safety/": "briefing",
    "safety/emergency/first-aid/": "first_aid_point",
    "safety/hazards/": "hazard",
    "safety/site/exits/": "exit",
    "safety/stewards/": "steward_post",
    "safety/incidents/": "incident",
    "safety/lost-child/": "lost_child",
    "safety/incidents/witnesses/": "witness",
    "safety/incidents/photographs/": "evidence",
    "safety/versions/": "version",
    "safety/machines/": "machine",
    "safety/stones/": "stone",
    "crop/growing/plots/": "plot",
    "crop/growing/seen/": "observation",
    "gatherings/": "gathering",
    "gatherings/stations/": "station",
    "gatherings/patterns/": "pattern",
    "gatherings/runs/": "run",
    "gatherings/places/": "sign_up",
    "gatherings/gave-up/": "sign_up",
    "gatherings/told/": "letter",
    "tally/": "gathering",
    "tally/evening/": "gathering",
    "tally/statement/": "volunteer",
    "crop/lots/": "lot",
    "crop/moves/": "move",
    "crop/fibre/grass/": "spreading",
    "crop/fibre/grass/entries/": "grass_entry",
    "crop/fibre/work/": "session",
    "dam/": "dam",
    "dam/rets/": "ret",
    "dam/turns/": "treading",
    "dam/readings/": "reading",
    "dam/checks/": "check",
    "dam/works/": "dam_work",
    "dam/loads/": "fill_load",
    "dam/leak-tests/": "leak_test",
    "dam/flow-tests/": "flow_test",
    "dam/asked/": "water_asked",
    "pictures/": "picture",
    "pictures/permissions/": "permission",
    "archive/": "archive",
    "field/": "gathering",
    "set-up/plots/": "plot",
    "sheets/poster/": "gathering",
    "privacy/held/": "volunteer",
    "privacy/erase/": "volunteer",
    "privacy/agreements/": "agreement",
    "privacy/erasures/": "erasure",
    "privacy/merge/": "volunteer",
    "privacy/complaints/": "complaint",
    "privacy/names/": "receipt",
}


class Address(NamedTuple):
    name: str
    route: str
    view: Any

    @property
    def role(self) -> Role:
        role = declared_role(self.view)
        assert role is not None, f"{self.name} declares no role"
        return role


def by_name(world: World) -> dict[str, Any]:
    """Say what stands in an address, by the name of its keyword."""
    return {
        "demonstration": world.demonstration.slug,
        "stage": "pulling",
        "pack": "tonight",
        "who": "volunteer",
        "style_version": "of-now",
        "sheet": "pulling",
        "key": world.rows["picture"].key,
        "calendar_key": world.rows["volunteer"].calendar_key,
        "invitation_key": world.rows["invitation"].key,
        "rest": "done/",
        "size": "small",
        "complaint_key": world.rows["complaint"].key,
        "entry_pk": world.rows["entry"].pk,
        "person_pk": world.rows["volunteer"].pk,
        "uid": world.rows["gathering"].uid,
    }


def addresses(resolver: Any = None, space: str = "", route: str = "") -> Iterator:
    for pattern in (resolver or get_resolver()).url_patterns:
        whole = f"{route}{pattern.pattern}"
        if isinstance(pattern, URLResolver):
            yield from addresses(pattern, pattern.namespace or space, whole)
        else:
            yield Address(f"{space}:{pattern.name}", whole, pattern.callback)


def ours() -> list[Address]:
    return [one for one in addresses() if not one.view.__module__.startswith(OTHERS)]


def private_calendar(address: Address) -> bool:
    return address.name.startswith("diary:") and "<" in address.route.replace(AT, "")


def path_to(address: Address, world: World) -> str:
    """Fill an address in from the world's rows."""
    values = by_name(world)
    if private_calendar(address):
        values["key"] = values["calendar_key"]
        values["slug"] = values["demonstration"]

    def value(match: re.Match[str]) -> str:
        name = match["name"]
        if name in values:
            return str(values[name])
        folder = KWARG.sub("", address.route[: match.start()].removeprefix(AT))
        kind = BY_FOLDER.get(folder.replace("//", "/"))
        assert kind, f"Tell BY_FOLDER what <{name}> is in {address.route}"
        return str(world.rows[kind].pk)

    return "/" + KWARG.sub(value, address.route)


def client_of(user: Any) -> Client:
    client = Client(raise_request_exception=False)
    if user:
        client.force_login(user)
    return client


def ask(client: Client, path: str) -> int:
    """Return the status of the answer; a file that is sent is read and closed.

    Nobody is signed in or out by looking at a page, so the next may be asked for.
    """
    session = client.cookies.get(settings.SESSION_COOKIE_NAME)
    response = client.get(path)
    finish(response)
    if session:
        assert client.cookies[settings.SESSION_COOKIE_NAME].value == session.value
    return response.status_code


@pytest.mark.long
class EveryAddressTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.world, cls.elsewhere = make_world(), make_world()
        users = cls.world.users
        cls.askers = {
            "visitor": (None, Role.VISITOR),
            "account": (make_user(), Role.ACCOUNT),
            "gone": (users["gone"], Role.ACCOUNT),
            "volunteer": (users["volunteer"], Role.VOLUNTEER),
            "lead": (users["lead"], Role.LEAD),
            "organiser": (users["organiser"], Role.ORGANISER),
            "keeper": (make_keeper(), Role.KEEPER),
            "stranger": (cls.elsewhere.users["volunteer"], Role.ACCOUNT),
            "strange organiser": (cls.elsewhere.users["organiser"], Role.ACCOUNT),
        }

    def setUp(self):
        self.enterContext(refused_in_short())

    def test_every_view_declares_who_it_opens_to(self):
        found = ours()
        assert len(found) > 20
        assert [one.name for one in found if declared_role(one.view) is None] == []

    def test_nobody_gets_a_page_above_their_role(self):
        """Everybody below asks; above, the least who may, for more opens to the others.

        What each who may is shown, and that it never breaks, is `test_poisoned`'s. Who
        is sent away is the access rule's, whatever the database: SQLite is asked.
        """
        clients = {name: client_of(user) for name, (user, _) in self.askers.items()}
        self.enterContext(one_sheet_for_all())
        for address in ours():
            path, answers = path_to(address, self.world), {}
            for asker in self.below(address):
                with self.subTest(asker=asker, address=address.name):
                    assert ask(clients[asker], path) in {302, 403, 404, 405}
            with self.subTest(address=address.name):
                # An address nobody can reach was filled in wrongly, and proves nothing.
                for asker in self.upwards(address):
                    answers[asker] = status = ask(clients[asker], path)
                    assert status < 500
                    if status in {200, 302, 304, 405}:
                        break
                else:
                    pytest.fail(f"Nobody reaches it: {answers}")

    def below(self, address: Address) -> list[str]:
        if connection.vendor != "sqlite":
            return []
        return [n for n, (_, role) in self.askers.items() if role < address.role]

    def upwards(self, address: Address) -> list[str]:
        """Name who may, the least first; PostgreSQL is asked what the most see."""
        may = [n for n, (_, role) in self.askers.items() if role >= address.role]
        may.sort(key=lambda name: self.askers[name][1])
        return may if connection.vendor == "sqlite" else may[::-1]

    @pytest.mark.any_database
    def test_another_demonstrations_rows_are_not_there(self):
        """Organisers who write a stranger's number into their own address get 404."""
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
                assert ask(organiser, path) in {404, 405}


@pytest.mark.any_database
class ClosedDemonstrationTests(TestCase):
    def test_a_closed_demonstration_is_not_there_for_strangers(self):
        self.enterContext(refused_in_short())
        closed, elsewhere = make_world(is_public=False), make_world()
        users = (None, elsewhere.users["organiser"], closed.users["gone"])
        clients = {str(user): client_of(user) for user in users}
        for address in ours():
            if not address.route.startswith(AT) or private_calendar(address):
                continue
            for user, client in clients.items():
                with self.subTest(address=address.name, user=user):
                    assert ask(client, path_to(address, closed)) == 404
