"""Kill the server at random while four clients post, and count what is left.

Run by hand for the whole thing, on SQLite or on the database that is named (it must
be one made for this: rows are added to it):

    python -m tests.fieldlog.kill_server --posts 1000 --kills 12
    python -m tests.fieldlog.kill_server --database postgres:///kill_test

A real gunicorn serves a database of its own; its whole process group gets SIGKILL
while posts are under way, and is started again. The site is loaded once, in a process
that every server begins as a copy of. A client sends the same slip until
it has a receipt, and a fifth of them from two threads at once. At the end every slip
must be in the book exactly once.
"""

import argparse
import http.client
import json
import os
import random
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
import uuid
from dataclasses import dataclass, field
from datetime import timedelta
from pathlib import Path
from typing import Any

ROOT = Path(__file__).resolve().parents[2]
CLIENTS = 4
TOKEN = "k" * 32
HERE = "tests.fieldlog.kill_server"


@dataclass
class Trial:
    """One server to kill, and what its clients were promised."""

    database: str
    seed: int = 12
    port: int = 0
    acknowledged: list[str] = field(default_factory=list)
    repeats: int = 0
    kills: int = 0

    def __post_init__(self) -> None:
        self.port = self.port or free_port()
        self.chance = random.Random(self.seed)
        self.environment = os.environ | {
            "DATABASE_URL": self.database,
            "DJANGO_SETTINGS_MODULE": "tests.settings",
            "ALLOWED_HOSTS": "127.0.0.1",
        }
        self.site = subprocess.Popen(  # noqa: S603 - our own command
            [sys.executable, "-m", HERE, "--obey"],
            env=self.environment,
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self.book = self.tell("make")

    def tell(self, *order: str | int) -> Any:
        """Have something done where the site is loaded, and return the answer."""
        print(*order, file=self.site.stdin, flush=True)
        answer = self.site.stdout.readline()
        if not answer:
            raise RuntimeError(f"The site's process ended at {order[0]!r}.")
        return json.loads(answer)

    def start(self) -> int:
        server = self.tell("serve", self.port)
        while True:
            try:
                if self.ask("GET", "/alive/")[0] == 200:
                    return int(server)
            except OSError:
                time.sleep(0.05)

    def ask(self, method: str, path: str, body: str = "") -> tuple[int, bytes]:
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=30)
        cookie = f"sessionid={self.book['session']}; csrftoken={TOKEN}"
        headers = {
            "Content-Type": "application/json",
            "Cookie": cookie,
            "X-CSRFToken": TOKEN,
        }
        try:
            connection.request(method, path, body or None, headers)
            answer = connection.getresponse()
            return answer.status, answer.read()
        except http.client.HTTPException as error:
            raise ConnectionError(str(error)) from error
        finally:
            connection.close()

    def client(self, posts: int, number: int) -> None:
        """Post slips one after another, each until it is acknowledged."""
        chance = random.Random(self.seed + number)
        for _ in range(posts):
            data = {"person": chance.choice(self.book["people"]), "count": 1}
            slip = {"key": str(uuid.uuid4()), "kind": "beets", "data": data}
            letter = json.dumps({"slips": [slip]})
            # Now and then the same slip comes from two tabs at the same moment.
            tabs = 2 if chance.random() < 0.2 else 1
            senders = [
                threading.Thread(target=self.post, args=(letter,)) for _ in range(tabs)
            ]
            for one in senders:
                one.start()
            for one in senders:
                one.join()
            self.acknowledged.append(slip["key"])

    def post(self, letter: str) -> None:
        while not self.is_acknowledged(letter):
            self.repeats += 1
            time.sleep(0.02)

    def is_acknowledged(self, letter: str) -> bool:
        try:
            status, body = self.ask("POST", self.book["send"], letter)
        except OSError:
            return False
        if status != 200:
            return False
        (receipt,) = json.loads(body)["receipts"]
        if receipt["outcome"] != "kept":
            raise RuntimeError(receipt["words"])
        return True

    def go(self, posts: int, kills: int) -> list[str]:
        """Run the trial; return what the book holds at its end."""
        server = self.start()
        clients = [
            threading.Thread(target=self.client, args=(posts // CLIENTS, number))
            for number in range(CLIENTS)
        ]
        for one in clients:
            one.start()
        # A kill falls somewhere after each further share of the posts.
        marks = sorted(self.chance.sample(range(1, posts * 9 // 10), kills))
        for mark in marks:
            while len(self.acknowledged) < mark and any(map(is_alive, clients)):
                time.sleep(0.001)
            time.sleep(self.chance.random() * 0.03)
            self.tell("kill", server)
            self.kills += 1
            server = self.start()
        for one in clients:
            one.join()
        self.tell("kill", server)
        book = list(self.tell("read"))
        self.site.communicate()
        return book


def is_alive(thread: threading.Thread) -> bool:
    return thread.is_alive()


def serve(port: str) -> int:
    """Start a gunicorn in a process group of its own; return its number."""
    if server := os.fork():
        return server
    os.setsid()
    os.dup2(os.open(os.devnull, os.O_RDWR), 0)
    os.dup2(2, 1)
    from gunicorn.app.wsgiapp import run

    sys.argv = ["gunicorn", "heritage.wsgi", "--workers=2"]
    sys.argv += [f"--bind=127.0.0.1:{port}", "--log-level=critical"]
    run()
    os._exit(1)


def kill(server: str) -> bool:
    """Kill the server and its workers outright: no goodbye, no tidying up."""
    # It may be so young that it has no group of its own yet.
    while os.getpgid(int(server)) != int(server):
        time.sleep(0.001)
    os.killpg(int(server), signal.SIGKILL)
    os.waitpid(int(server), 0)
    return True


def obey() -> None:
    """Load the site, then do what each line asks and answer in a line."""
    from django.db import connections

    import heritage.wsgi  # noqa: F401 - for the servers, which are copies of this

    does = {"make": make, "serve": serve, "kill": kill, "read": read}
    for line in sys.stdin:
        what, *words = line.split()
        answer = does[what](*words)
        # No server may begin with a connection that is open already.
        connections.close_all()
        sys.stdout.write(json.dumps(answer) + "\n")
        sys.stdout.flush()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def make() -> dict[str, Any]:
    """Make the tables, a gathering, its people and a session."""
    from django.core.management import call_command
    from django.test import Client
    from django.urls import reverse

    from heritage.common import clock
    from tests.factories import make_gathering, make_organiser, make_volunteer

    call_command("migrate", verbosity=0)
    lead, now = make_organiser(), clock.now()
    gathering = make_gathering(
        demonstration=lead.demonstration,
        starts_at=now - timedelta(hours=1),
        ends_at=now + timedelta(hours=3),
    )
    people = [
        make_volunteer(demonstration=lead.demonstration, user=None).pk
        for _ in range(20)
    ]
    client = Client()
    client.force_login(lead.user)
    args = [lead.demonstration.slug, gathering.pk]
    return {
        "session": client.cookies["sessionid"].value,
        "send": reverse("fieldlog:send", args=args),
        "people": people,
    }


def read() -> list[str]:
    """Return the key of every beet in the book."""
    from heritage.fieldlog.models import Receipt
    from heritage.tally.models import Entry

    keys = [str(row.key) for row in Entry.objects.all() for _ in range(row.beets)]
    receipts = [str(key) for key in Receipt.objects.values_list("key", flat=True)]
    if sorted(keys) != sorted(receipts):
        raise SystemExit("The book and the receipts do not agree.")
    return keys


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--posts", type=int, default=1000)
    parser.add_argument("--kills", type=int, default=12)
    parser.add_argument("--seed", type=int, default=12)
    parser.add_argument("--database", default="")
    parser.add_argument("--obey", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.obey:
        obey()
        return
    with tempfile.TemporaryDirectory() as folder:
        database = asked.database or f"sqlite:///{folder}/kill.sqlite3"
        trial = Trial(database, seed=asked.seed)
        book = trial.go(asked.posts, asked.kills)
    right = sorted(book) == sorted(trial.acknowledged)
    sys.stdout.write("has beets counted here")
    sys.exit(0 if right else 1)


if __name__ == "__main__":
    main()
