"""What the site shows everybody, in plain files: taken before a change and after.

``python -m tests.golden FOLDER`` builds the demonstration in a database of its own,
walks it as each role, and writes the words, fields and addresses of every page, the
text of every PDF, every feed and file; every answer to every address of a world of
one row of each kind; the mail of a few evenings; every row before and after a merge
and an erasure; and what is held of people (`tests.golden_privacy`). Then ``diff -r``
tells what a change changed, to the word.

Keys drawn by chance and the widths of columns are left out, and of many rows of a kind
the first three are visited.
"""

import json
import os
import re
import sys
import tempfile
from collections import Counter
from datetime import datetime
from html.parser import HTMLParser
from io import BytesIO
from pathlib import Path

CHANCE = re.compile(
    r"[0-9a-f]{8}-[0-9a-f]{4}-[0-9a-f-]{22}|\b(?=\w*\d)(?=\w*[A-Za-z])[\w-]{20,}"
)
WORDLESS = {"script", "style", "svg"}
MOST_OF_A_KIND = 3
STARTS = "2026-08-12T18:40:00+01:00"


class Reader(HTMLParser):
    """Takes from a page its words, its fields and where it leads."""

    def __init__(self) -> None:
        super().__init__()
        self.words, self.links, self.silent = [], [], 0

    def handle_starttag(self, tag, attributes):
        found = dict(attributes)
        self.silent += tag in WORDLESS
        if tag == "a" and found.get("href"):
            self.links.append(found["href"])
            self.words.append(f"[{found['href']}]")
        if tag == "form":
            self.words.append(f"[form {found.get('method')} {found.get('action')}]")
        if tag in {"input", "select", "textarea", "button", "option"}:
            kept = ("type", "name", "value", "checked", "selected", "required")
            said = [f"{key}={found[key]}" for key in kept if key in found]
            if found.get("name") != "csrfmiddlewaretoken":
                self.words.append(f"[{tag} {' '.join(said)}]")
        if tag == "img":
            self.words.append(f"[img {found.get('alt')}]")

    def handle_endtag(self, tag):
        self.silent -= tag in WORDLESS

    def handle_data(self, data):
        if not self.silent and data.strip():
            self.words.append(" ".join(data.split()))


def plain(text: str) -> str:
    """Return text without what chance drew or the day of the run wrote."""
    return CHANCE.sub("KEY", re.sub(r"DTSTAMP:\w+", "DTSTAMP", text))


def pdf_words(content: bytes) -> str:
    from pypdf import PdfReader

    return "\n".join(page.extract_text() for page in PdfReader(BytesIO(content)).pages)


def table_words(content: bytes) -> str:
    from openpyxl import load_workbook

    sheets = load_workbook(BytesIO(content)).worksheets
    return "\n".join(
        f"{sheet.title}: {row}"
        for sheet in sheets
        for row in sheet.iter_rows(values_only=True)
    )


def words_of(response) -> tuple[str, list[str]]:
    """Return an answer's words, and where its links lead."""
    from tests.responses import finish

    content, kind = finish(response), response.headers.get("Content-Type", "")
    if "html" in kind:
        reader = Reader()
        reader.feed(content.decode())
        return "\n".join(reader.words), reader.links
    if "pdf" in kind:
        return pdf_words(content), []
    if "sheet" in kind:
        return table_words(content), []
    if kind.startswith("image") or "font" in kind:
        return f"{kind}, {len(content) > 0}", []
    return content.decode(errors="replace"), []


def write(folder: Path, path: str, text: str) -> None:
    name = re.sub(r"[^\w.=&-]+", "_", plain(path)).strip("_")[:150] or "front"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / f"{name}.txt").write_text(plain(text))


def walk(folder: Path, client, starts: list[str]) -> None:
    """Follow every link from here as one reader, a few of each kind of address."""
    waiting, seen, kinds = list(starts), set(starts), Counter()
    while waiting:
        path = waiting.pop(0)
        response = client.get(path)
        text, links = words_of(response)
        to = response.headers.get("Location", "")
        write(folder, path, f"{path} {response.status_code} {to}\n{text}")
        for link in [*links, to]:
            whole = _from(path, link)
            kind = re.sub(r"\d+", "N", CHANCE.sub("KEY", whole))
            skipped = not whole.startswith("/") or "log" in whole.split("/")[-2:-1][0:1]
            if whole in seen or skipped or whole.startswith(("/static", "/account")):
                continue
            seen.add(whole)
            kinds[kind] += 1
            if kinds[kind] <= MOST_OF_A_KIND:
                waiting.append(whole)


def _from(path: str, link: str) -> str:
    from urllib.parse import urldefrag, urljoin, urlsplit

    whole = urldefrag(urljoin(f"http://testserver{path}", link))[0]
    parts = urlsplit(whole)
    if parts.netloc not in {"testserver", "127.0.0.1:8000"} or parts.scheme != "http":
        return ""
    return parts.path + (f"?{parts.query}" if parts.query else "")


def walk_everybody(folder: Path) -> None:
    from django.test import Client

    from heritage.people.models import User
    from heritage.season.models import Demonstration
    from tests.people.world import make_keeper

    scenario = json.loads(Path("fixtures/carrowlint.json").read_text())
    home = f"/at/{Demonstration.objects.get().slug}/"
    make_keeper()
    for role in ("visitor", "volunteer", "lead", "organiser"):
        client = Client()
        if role != "visitor":
            client.force_login(User.objects.get(email=scenario[role]["email"]))
        walk(folder / role, client, ["/", home, f"{home}today/"])


def answers(folder: Path) -> None:
    """Write what every address of a world of one row each answers to everybody."""
    from django.test import Client

    from tests.people.test_access import ours, path_to
    from tests.people.world import make_keeper, make_world

    world = make_world()
    users = {None: None, **world.users, "keeper": make_keeper()}
    lines = []
    for address in ours():
        path = path_to(address, world)
        for name, user in users.items():
            client = Client(raise_request_exception=False)
            if user:
                client.force_login(user)
            response = client.get(path)
            text, _ = words_of(response)
            lines.append(f"{path} {name}: {response.status_code}")
            if name == "organiser" and response.status_code == 200:
                write(folder / "one-of-each", path, text)
    write(folder, "answers", "\n".join(sorted(lines)))


def rows() -> str:
    """Write every row of ours, whatever subject it stands with."""
    from django.apps import apps
    from django.core.serializers import serialize

    lines = []
    for model in apps.get_models():
        if model.__module__.startswith("heritage."):
            for row in json.loads(serialize("json", model.objects.order_by("pk"))):
                name = row["model"].split(".")[1]
                lines.append(json.dumps([name, row["pk"], row["fields"]], default=str))
    return plain("\n".join(sorted(lines)))


def letters_and_rows(folder: Path, now: datetime) -> None:
    """Sign up, change, call off, invite, merge and erase; write mail and rows."""
    from django.core import mail

    from heritage.gatherings.call.services import make_call
    from heritage.gatherings.models import Decision, Gathering, SignUp, WhyOff
    from heritage.gatherings.places.services import give_up
    from heritage.people.invitations.services import invite
    from heritage.people.models import User, Volunteer
    from heritage.privacy.erasing.services import ask_erasure, carry_out_erasure
    from heritage.privacy.merging.services import merge

    scenario = json.loads(Path("fixtures/carrowlint.json").read_text())
    by = User.objects.get(email=scenario["organiser"]["email"])
    next_one = Gathering.objects.going_ahead().starting_after(now).earliest("starts_at")
    home = next_one.demonstration
    place = SignUp.objects.filter(gathering=next_one).live().order_by("pk").last()
    give_up(sign_up=place, by=by, now=now)
    later = Gathering.objects.going_ahead().starting_after(now).latest("starts_at")
    for evening in (next_one, later):
        make_call(
            gathering=evening, readings={}, decision=Decision.OFF, by=by, now=now,
            why_off=WhyOff.SOFT_GROUND, note="The ground is under water.",
        )  # fmt: skip
    invite(demonstration=home, email="asked@example.org", by=by, now=now)
    write(folder, "rows-before", rows())
    people = Volunteer.objects.of(home).filter(user=None, guardian=None).order_by("pk")
    gone, kept, erased = people[0], people[1], people[2]
    merge(gone=gone, kept=kept, by=by, now=now)
    erasure = ask_erasure(volunteer=erased, by=by, now=now)
    carry_out_erasure(
        erasure=erasure, by=by, now=now, why_left="Nobody asked for it to be changed."
    )
    write(folder, "rows-after", rows())
    for number, letter in enumerate(mail.outbox):
        parts = [str(letter.message()[key]) for key in ("To", "Subject")]
        body = [letter.body, *(str(part) for part in letter.attachments)]
        write(folder / "mail", f"{number:03}", "\n".join([*parts, *body]))


def ready() -> None:
    """Set up a database of its own, and a clock that stands."""
    place = tempfile.mkdtemp(prefix="golden-")
    os.environ |= {
        "DJANGO_SETTINGS_MODULE": "tests.settings",
        "DATABASE_URL": f"sqlite:///{place}/golden.sqlite3",
    }
    import django

    django.setup()
    from django.conf import settings
    from django.core.management import call_command
    from django.test.utils import setup_test_environment

    from heritage.common import clock

    setup_test_environment()
    settings.ALLOWED_HOSTS = ["*"]
    settings.CLOCK_STARTS_AT = STARTS
    now = datetime.fromisoformat(STARTS)
    clock.now = lambda: now
    call_command("migrate", verbosity=0)


def main(folder: Path) -> None:
    ready()
    from django.core.management import call_command

    from heritage.common import clock
    from tests.golden_privacy import privacy

    call_command("demo", "--no-serve")
    letters_and_rows(folder, clock.now())
    walk_everybody(folder)
    answers(folder)
    privacy(folder)


if __name__ == "__main__":
    main(Path(sys.argv[1]))
