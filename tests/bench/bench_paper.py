"""How fast every kind of sheet is printed, and what that costs over the same page bare.

Run by hand: ``python -m tests.bench.bench_paper``, with the names of kinds if not all
are wanted. It builds the show, asks for all that an organiser's shelf offers, and says
of each kind the slowest sheet: pages a second as printed, and as answered with all that
is asked of the database; how many times as long as the same pages bare
(`tests.bench.bare`); and pages a second the first time that a process prints it, its
drawings still to be read. Seconds are the processor's, since they stand even where
others use the machine; the best of a few rounds counts.

The promise: 25 pages a second printed, at no more than 1.5 times bare. On 30 November
2026, on two cores that seven shared:

========================================  ========  ========  ==========  ========
kind                                      printed   answered  times bare  at first
========================================  ========  ========  ==========  ========
process sheet as a panel                  32        26        1.3         17
emergency sheet                           57        43        0.9 to 1.4
lost child, permission                    45 to 62            1.0 to 1.5
child's card; all the cards               47; 61    37        1.0         21; 3
poster, A4, A3 and large                  47 to 53  27 to 29  1.1 to 1.2  23
season's report                           55, 79    30, 46    1.4         48
process sheet; large                      59; 204   29; 98    1.1         28; 93
sign-in, stewards, lot labels             69 to 78  36 to 47  0.8 to 1.6  14 to 74
tonight's, a hall's pack                  110; 58   74; 46    0.9; 1.2    100; 15
press, contact sheet                      83 to 183 44 to 103 1.0 to 1.3  91
rota, stones, machines, store, growing    90 to 169 52 to 123 0.8 to 1.3
briefing                                  100, 193  82, 149   1.1 to 1.2
risks                                     129, 170  102, 116  0.8 to 1.6
booklet                                   156       133       1.1         23
album, panels of pictures                 165 to 228 136 to 184 1.1 to 1.5
statements; all thanks                    175; 320  159       1.1; 1.9
========================================  ========  ========  ==========  ========

What is over 1.5 is measured in several sizes until it goes on its page, which bare is
not. A pack is beside its sheets each printed bare and bound, like with like; a school's
was not measured so. The first panel, card or booklet of a process reads its drawings:
"at first" is by today's reader for all the cards and the packs alone.
"""

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from io import StringIO
from pathlib import Path
from time import process_time
from typing import Any
from unittest.mock import patch

from tests.bench.bare import bare_of
from tests.golden import ready

ROUNDS = 3


@dataclass
class Took:
    """A sheet, and how long it takes: printed, answered, and printed bare."""

    kind: str
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


def offered(user: Any) -> Iterator[tuple[str, str]]:
    """Give the kind and the address of all that the shelf offers an organiser."""
    from django.urls import resolve, reverse

    from heritage.common import clock
    from heritage.common.access import Role
    from heritage.public.shelf.selectors import shelf_page

    own = user.volunteers.get()
    home = own.demonstration
    page = shelf_page(home, user, Role.ORGANISER, own, clock.now())
    links = [link for shelf in page.shelves for link in shelf.sheets]
    for link in links:
        for address in filter(None, (link.url, link.large, link.a3, link.card)):
            path, _, query = address.partition("?")
            name = resolve(path).url_name.removesuffix("_sheet").replace("_", " ")
            yield f"{name} {query.removesuffix('=1')}".strip(), address
    for pack in page.packs:
        address = reverse("public:pack", args=[home.slug, pack.name])
        yield f"pack {pack.name}", address


def took(client: Any, kind: str, address: str) -> Took:
    """Ask for a sheet as a process does that never printed it, and then again."""
    from heritage.kits.drawing.file import from_svg
    from heritage.kits.paper.seal import page_count
    from heritage.printing.models import Printing

    from_svg.cache_clear()
    printed, answered = list[float](), list[float]()
    with stopped() as (spent, parts):
        for _ in range(1 + ROUNDS):
            # What was printed is kept a day.
            Printing.objects.all().delete()
            began = process_time()
            pdf = client.get(address).content
            answered.append(process_time() - began)
            printed.append(sum(spent))
            spent.clear()
    first, *again = printed
    return Took(kind, pdf, page_count(pdf), first, min(again), min(answered[1:]), parts)


def said_of(one: Took) -> str:
    """Say how fast a sheet is, beside the same pages bare."""
    bare = _bound_bare(one.parts) if one.parts else bare_of(one.pdf)
    least = min(_seconds(bare) for _ in range(1 + ROUNDS))
    return (
        f"{one.kind:24} {one.pages:3} pages: {one.rate:4.0f} a second printed, "
        f"{one.pages / one.answered:4.0f} answered, "
        f"{one.printed / least:4.2f} times bare, {one.pages / one.first:4.0f} at first"
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
    client = Client()
    client.force_login(user)
    slowest = dict[str, Took]()
    for kind, address in offered(user):
        if not wanted or kind in wanted:
            one = took(client, kind, address)
            slowest[kind] = min(slowest.get(kind, one), one, key=lambda it: it.rate)
    for one in sorted(slowest.values(), key=lambda it: it.rate):
        print(said_of(one), flush=True)


if __name__ == "__main__":
    ready()
    main(set(sys.argv[1:]))
