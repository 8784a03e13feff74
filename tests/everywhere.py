"""Every page that the show has for everybody, as each of them sees it.

``python -m tests.everywhere FOLDER`` builds the show in a database of its own, walks it
as each role, and keeps one page of each kind in FOLDER as HTML; ``--look`` then opens
each in a Chromium, without a server: at two sizes, by day and in dusk, at 320 pixels
(which is also 1280 at 400 %), by keyboard and without script (`tests.looking`). It
prints what it found and fails if that is anything. With ``--overfull`` the show has far
more of everything (`tests.overfull`). `.deps/markup` reads what it kept with
html-validate. `tests/test_axe.py` does the part that the suite can afford.
"""

import json
import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="\w+"')
# Who looks, by the name the show's scenario gives them; nobody for a visitor.
WHO = ("visitor", "newcomer", "volunteer", "lead", "organiser")
SCENARIO_NAME = {"newcomer": "visitor"}


@dataclass(frozen=True, slots=True)
class Page:
    """One page as one of them sees it."""

    who: str
    path: str
    html: str

    @property
    def file(self) -> str:
        from tests.golden import plain

        name = re.sub(r"[^\w.=&-]+", "_", plain(self.path)).strip("_")[:120]
        return f"{self.who}/{name or 'front'}.html"


def kind_of(path: str) -> str:
    """Return what all pages of one kind share: their address without its numbers."""
    from tests.golden import CHANCE

    words = re.sub(r"\d+", "N", CHANCE.sub("KEY", path.partition("?")[0]))
    return re.sub(r"(/story/|/season/)[a-z_]+/$", r"\1STAGE/", words)


def client_of(who: str) -> Any:
    """Return a client signed in as one of the show's people."""
    from django.test import Client

    from heritage.people.models import User

    client = Client()
    if who != "visitor":
        scenario = json.loads(Path("fixtures/carrowlint.json").read_text())
        name = SCENARIO_NAME.get(who, who)
        client.force_login(User.objects.get(email=scenario[name]["email"]))
    return client


def walked(who: str, starts: list[str]) -> Iterator[Page]:
    """Follow every link as one of them, one page of each kind."""
    from tests.golden import Reader, _from
    from tests.responses import finish

    client, waiting, kinds = client_of(who), [*starts], Counter(map(kind_of, starts))
    while waiting:
        path = waiting.pop(0)
        response = client.get(path)
        links = [response.headers.get("Location", "")]
        html = response.headers.get("Content-Type", "").startswith("text/html")
        if html and response.status_code == 200:
            page = Page(who, path, finish(response).decode())
            yield page
            reader = Reader()
            reader.feed(page.html)
            links += reader.links
        for whole in (_from(path, link) for link in links):
            kind = kind_of(whole)
            if whole.startswith("/") and "logout" not in whole and not kinds[kind]:
                kinds[kind] += 1
                waiting.append(whole)


def pages(who: tuple[str, ...] = WHO) -> Iterator[Page]:
    """Yield every page of everybody; one that two see alike only once."""
    from heritage.season.models import Demonstration
    from tests.test_axe import addresses

    home = f"/at/{Demonstration.objects.get().slug}/"
    known, seen = addresses(), set()
    for one in who:
        starts = known if one == "organiser" else ["/", home, f"{home}today/"]
        if one == "visitor":
            starts += ["/account/login/", "/account/signup/", "/no-such-page/"]
        for page in walked(one, starts):
            main = TOKEN.sub("", page.html.partition("<main")[2])
            if main not in seen:
                seen.add(main)
                yield page


def main(folder: Path, looked: bool, full: bool) -> int:
    from tests.golden import ready

    ready()
    from django.core.management import call_command

    call_command("demo", "--no-serve")
    if full:
        from heritage.season.models import Demonstration
        from tests.overfull import overfill

        overfill(Demonstration.objects.get())
    kept = list(pages())
    for page in kept:
        (folder / page.file).parent.mkdir(parents=True, exist_ok=True)
        (folder / page.file).write_text(page.html)
    sys.stdout.write(f"{len(kept)} pages\n")
    if not looked:
        return 0
    from tests.looking import look_at_all

    found = list(look_at_all(kept))
    sys.stdout.write("".join(f"{line}\n" for line in found))
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), "--look" in sys.argv, "--overfull" in sys.argv))
