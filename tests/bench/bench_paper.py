"""How fast every kind of sheet is printed, and what that costs over the same page bare.

Run by hand: ``python -m tests.bench.bench_paper``, with the names of kinds if not all
are wanted. It builds the show, adds what has a sheet and the show has not, asks for all
that an organiser's shelf offers and for what only pages offer, and says of each kind
the slowest sheet: pages a second as printed, and as answered with all that is asked of
the database; pages a second the first time that a process prints it, its drawings still
to be read; and how many times as long as the same pages bare (`tests.bench.bare`), with
the least and the most of the rounds, printed and bare in turn. In the end it names what
it did not measure. Seconds are the processor's, since they stand even where others use
the machine; the best of the rounds counts.

The promise: 25 pages a second printed, at no more than 1.5 times bare. On 30 November
2026, on two cores with a load of ten and more:

=================================  ============  ===========  =============  ==========
kind                               printed       answered     times bare     at first
=================================  ============  ===========  =============  ==========
child's card; all the cards        41; 55        32; 39       1.0; 1.0       10; 5
process sheet; large; as a panel   46; 168; 42   24; 59; 32   1.2; 1.1; 1.4  14; 50; 8
emergency sheet; large             49; 142       35; 95       1.2; 1.0       47
poster, A4, A3 and large           52 to 55      29 to 31     1.1 to 1.2     23 to 52
pack for a hall; a school; large   53; 100; 143  42; 80; 116  1.3; 1.2; 1.1  19; 29; 59
pack for tonight; large            106; 121      68; 75       1.0; 1.2       93; 142
season's report; large             66; 93        32; 46       1.0; 1.1       52; 93
permission                         58 to 132     43 to 95     1.0 to 1.3     43 to 126
sign-in; large                     92; 90        58; 54       1.0; 1.3       72; 81
stewards, claim, labels of lots    73 to 116     39 to 65     0.9 to 1.1     16 to 118
one statement, one thank-you       87 to 103     38 to 55     1.1 to 1.2     29 to 83
incidents, register, lost child    57 to 161     34 to 95     0.9 to 1.2     50 to 127
stones, machines, rota, log        95 to 192     57 to 97     0.8 to 1.1     16 to 197
growing, store, work, dam's book   112 to 166    69 to 112    1.0 to 1.4     97 to 163
briefing; large                    126; 225      100; 169     1.2; 0.9       90; 175
risks in large print               166           123          1.1            129
contact sheet, press, labels       102 to 197    55 to 100    0.9 to 1.1     11 to 157
album, panels of pictures          167 to 258    89 to 205    1.0 to 1.4     123 to 165
booklet                            139           105          1.3            28
what is held of somebody           171 to 191    92 to 103    0.8 to 0.9     96 to 154
all statements; all thank-yous     225; 500      198; 397     0.8; 1.1       223; 385
=================================  ============  ===========  =============  ==========

A round's own ratio wavers by a tenth or two, and by more where the machine was busy
elsewhere; none stays over 1.5. Before, all thank-yous took 1.8 times bare, sign-in,
risks and permission in large print 1.5 to 1.65: they were told and drawn in several
sizes. Before drawings shared what they show, all the cards made 3 pages a second at
first, and a hall's pack 15. A pack is beside its sheets each printed bare and bound,
like with like.
"""

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from functools import partial
from io import StringIO
from itertools import islice
from pathlib import Path
from time import process_time
from typing import Any
from unittest.mock import patch

from tests.bench.bare import bare_of
from tests.golden import ready

ROUNDS = 5
# What a page offers and the shelf does not, and of which row it is.
ON_PAGES = {
    "people:claim_sheet": "people.Invitation",
    "incidents:register": "",
    "incidents:incident_sheet": "incidents.Incident",
    "tally:thanks_sheet": "people.Volunteer",
    "lots:lot_label_sheet": "lots.Lot",
    "dam:book_sheet": "dam.Dam",
    "privacy:held_sheet": "people.Volunteer",
}
ONE_SIZE = {"lots:lot_label_sheet"}
# Rows that are tried, since not everybody has done what a sheet is about.
TRIED = 5


@dataclass
class Took:
    """A sheet, and how long it takes the first time, printed and answered."""

    kind: str
    address: str
    pdf: bytes
    pages: int
    first: float
    printed: float
    answered: float
    parts: list[bytes]

    @property
    def rate(self) -> float:
        return self.pages / self.printed


@contextmanager
def stopped() -> Iterator[tuple[list[float], list[bytes]]]:
    """Stop the time of whatever is printed inside; keep the sheets of a pack."""
    from heritage.common import sheets
    from heritage.kits.paper import bill, booklet, sheet
    from heritage.kits.paper.binding import bind

    leaves = ("leaf_pdf", "panel_pdf", "card_pdf", "cards_pdf", "booklet_pdf")
    printers = [(sheet, "sheet"), (bill, "bill"), (sheets, "bind")]
    spent, parts = list[float](), list[bytes]()

    def timed(draw: Callable[..., bytes]) -> Callable[..., bytes]:
        def draw_timed(*said: Any, **more: Any) -> bytes:
            began = process_time()
            drawn = draw(*said, **more)
            spent.append(process_time() - began)
            parts[:] = said[0] if draw is bind else parts
            return drawn

        return draw_timed

    with ExitStack() as patches:
        for module, name in [*printers, *((booklet, name) for name in leaves)]:
            own = timed(getattr(module, name))
            patches.enter_context(patch.object(module, name, own))
        yield spent, parts


def kind_of(address: str) -> str:
    """Name a kind: whose it is, what it is, and which edition."""
    from django.urls import resolve

    path, _, query = address.partition("?")
    found = resolve(path)
    name = found.view_name.removesuffix("_sheet").replace(":", " ").replace("_", " ")
    edition = query.removesuffix("=1")
    return " ".join(filter(None, (name, found.kwargs.get("pack"), edition)))


def offered(user: Any) -> Iterator[str]:
    """Give the address of all that the shelf offers an organiser."""
    from django.urls import reverse

    from heritage.common import clock
    from heritage.common.access import Role
    from heritage.public.shelf.selectors import shelf_page

    own = user.volunteers.get()
    home = own.demonstration
    page = shelf_page(home, user, Role.ORGANISER, own, clock.now())
    for link in (link for shelf in page.shelves for link in shelf.sheets):
        yield from filter(None, (link.url, link.large, link.a3, link.card))
    for pack in page.packs:
        address = reverse("public:pack", args=[home.slug, pack.name])
        yield from (address, f"{address}?large=1")[: 1 + (pack in page.large_packs)]


def on_pages(client: Any, user: Any) -> Iterator[str]:
    """Give the address of what pages alone offer, of the first row that has it."""
    from django.apps import apps
    from django.urls import reverse

    home = user.volunteers.get().demonstration
    for name, model in ON_PAGES.items():
        rows = apps.get_model(model).objects.of(home).order_by("pk") if model else ()
        keys = [[row.pk] for row in rows[:TRIED]] if model else [[]]
        found = (reverse(name, args=[home.slug, *key]) for key in keys)
        for address in islice(filter(partial(_is_pdf, client), found), 1):
            yield from (address, f"{address}?large=1")[: 1 + (name not in ONE_SIZE)]


def _is_pdf(client: Any, address: str) -> bool:
    return client.get(address).headers["Content-Type"] == "application/pdf"


def unmeasured(kinds: set[str]) -> set[str]:
    """Return the sheets that the site prints and none of the kinds is."""
    from tests.people.test_access import ours
    from tests.public.test_every_sheet import is_sheet

    names = {one.name for one in ours() if is_sheet(one)}
    plain = {
        name.removesuffix("_sheet").replace(":", " ").replace("_", " ")
        for name in names
    }
    return {name for name in plain if not any(kind.startswith(name) for kind in kinds)}


def took(client: Any, address: str) -> Took:
    """Ask for a sheet as a process does that never printed it, and then again."""
    from heritage.kits.paper.seal import page_count

    first = _at_first(client, address)
    pdf, printed, answered, parts = _asked(client, address)
    pages = page_count(pdf)
    return Took(kind_of(address), address, pdf, pages, first, printed, answered, parts)


def _at_first(client: Any, address: str) -> float:
    """Return how long a sheet is printed whose drawings are still to be read."""
    from heritage.kits.drawing import file

    file.from_svg.cache_clear()
    file.SHOWN.clear()
    return _asked(client, address)[1]


def _asked(client: Any, address: str) -> tuple[bytes, float, float, list[bytes]]:
    """Return a sheet, how long it was printed and answered, and those bound in it."""
    from heritage.printing.models import Printing

    # What was printed is kept a day.
    Printing.objects.all().delete()
    with stopped() as (spent, parts):
        began = process_time()
        pdf = client.get(address).content
        answered = process_time() - began
    return pdf, sum(spent), answered, parts


def said_of(client: Any, one: Took) -> str:
    """Say how fast a sheet is, beside the same pages bare, each after the other."""
    bare = _bound_bare(one.parts) if one.parts else bare_of(one.pdf)
    rounds = [(_asked(client, one.address)[1:3], _seconds(bare)) for _ in range(ROUNDS)]
    printed = min(printed for (printed, _), _ in rounds)
    answered = min(answered for (_, answered), _ in rounds)
    least = min(bare for _, bare in rounds)
    first = min(one.first, *(_at_first(client, one.address) for _ in range(2)))
    times = sorted(printed / bare for (printed, _), bare in rounds)
    return (
        f"{one.kind:28} {one.pages:3} pages: {one.pages / printed:4.0f} a second "
        f"printed, {one.pages / answered:4.0f} answered, {one.pages / first:4.0f} "
        f"at first; {printed / least:4.2f} times bare "
        f"({times[0]:.2f} to {times[-1]:.2f})"
    )


def _bound_bare(parts: list[bytes]) -> Callable[[], bytes]:
    """Print each sheet of a pack bare, and bind them as the pack's are."""
    from heritage.kits.paper.binding import bind

    bare = [bare_of(part) for part in parts]
    return lambda: bind(
        [one() for one in bare], title="Bare", language="en-GB", author=""
    )


def _seconds(draw: Callable[[], bytes]) -> float:
    began = process_time()
    draw()
    return process_time() - began


def main(wanted: set[str]) -> None:
    """Measure each kind of sheet by the slowest of the show's."""
    from django.core.management import call_command
    from django.test import Client

    from heritage.people.models import User

    call_command("demo", "--no-serve", stdout=StringIO())
    scenario = json.loads(Path("fixtures/carrowlint.json").read_text())
    user = User.objects.get(email=scenario["organiser"]["email"])
    complete(user)
    measure(user, Client(), wanted)


def complete(user: Any) -> None:
    """Add to the show what has a sheet and it has not: a claim, a filling to come."""
    from heritage.common import clock
    from heritage.people.invitations.services import make_claim
    from tests.factories import make_fill_evening

    home = user.volunteers.get().demonstration
    on_paper = home.volunteers.filter(user=None, guardian=None).earliest("pk")
    make_claim(volunteer=on_paper, by=user, now=clock.now())
    dam = home.dams.earliest("pk")
    make_fill_evening(dam=dam, starts_at=clock.now())


def measure(user: Any, client: Any, wanted: set[str]) -> None:
    """Print a line for each kind, the slowest first, and which are not measured."""
    client.force_login(user)
    slowest = dict[str, Took]()
    for address in [*offered(user), *on_pages(client, user)]:
        kind = kind_of(address)
        if not wanted or kind in wanted:
            one = took(client, address)
            slowest[kind] = min(slowest.get(kind, one), one, key=lambda it: it.rate)
    for one in sorted(slowest.values(), key=lambda it: it.rate):
        print(said_of(client, one), flush=True)
    if not wanted:
        print("Not measured:", ", ".join(sorted(unmeasured({*slowest}))) or "none")


if __name__ == "__main__":
    ready()
    main(set(sys.argv[1:]))
