"""Find figures that a page shows and does not open.

Which figures a page works out is seen from outside: while it is made, each call of a
function that `calc.figures` names is noted. The page must then open that figure, or
one that is made of it, or link to a page that opens it, or be named here with the
reason why it shows none.
"""

import functools
import re
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

from django.test import Client
from django.urls import Resolver404, resolve

from heritage.calc.figures import RULES, Figure
from tests.responses import finish

HREF = re.compile(r'href="([^"#?]*)')
OPENED = re.compile(r'data-figure="(\w+)"')
# A sheet, a calendar or a picture: no page.
NO_PAGE = re.compile(r"\.\w+$")
# What a figure is made of opens with it.
MADE_OF = {
    Figure.FINISH: {Figure.LIGHT, Figure.PACE, Figure.STAND},
    Figure.FILLING: {Figure.CAPACITY, Figure.SUPPLY},
    Figure.WET_LIFT: {Figure.LIFT, Figure.LIGHT},
    Figure.HARVEST: {
        Figure.CAPACITY, Figure.FINISH, Figure.LIGHT, Figure.PACE, Figure.PULL,
        Figure.RET, Figure.STAND,
    },
}  # fmt: skip
# What is worked out on the way, and why the page shows nothing of it.
UNSHOWN = {
    ("desk:harvest", Figure.SEED): "worked out with the growing, and not shown",
    ("desk:today", Figure.SEED): "worked out with the growing, and not shown",
    ("desk:today", Figure.GRASS_DAYS): "only whether something lies on the grass",
    ("desk:report", Figure.ACCOUNT): "each figure there folds its own rows",
    ("desk:report", Figure.YARN): "worked out with the account, and not shown",
    ("desk:scores", Figure.ACCOUNT): "only what came of it is shown",
    ("desk:scores", Figure.YARN): "only what came of it is shown",
    ("fibre:after_dam", Figure.GRASS_DAYS): "off the grass: only what was spread",
    ("fibre:spreading", Figure.GRASS_DAYS): "off the grass: only what was spread",
    ("fibre:break", Figure.DRY): "only whether some is too damp to break",
    ("fibre:break", Figure.WORKED): "nothing is there to break in this show",
    ("fibre:hackle", Figure.WORKED): "nothing is there to hackle in this show",
    ("fibre:scutch", Figure.WORKED): "nothing is there to scutch in this show",
    ("dam:dam", Figure.LIGHT): "only that no test falls in the dark",
    ("dam:list", Figure.LIGHT): "only that no test falls in the dark",
    ("dam:ret", Figure.LIGHT): "only that no test falls in the dark",
    ("dam:rota_plan", Figure.LIGHT): "only that no test falls in the dark",
    ("dam:stones", Figure.LIGHT): "only that no test falls in the dark",
    ("gatherings:call", Figure.CALL): "no advice before any weather is known",
    ("growth:sow", Figure.STAND): "what is pulled is counted, not reckoned",
    ("gatherings:call", Figure.PULL): "only a field's start: green or not",
    ("gatherings:edit", Figure.PULL): "an evening that is not for pulling",
    ("privacy:held", Figure.PAY): "a record as data, by the line's own statement",
    ("public:stage", Figure.STAND): "a stage but the pulling shows no share",
    ("public:story", Figure.STAND): "no chapter shows a share of the field",
}


@contextmanager
def noted() -> Iterator[set[Figure]]:
    """Note each figure that is worked out meanwhile."""
    found: set[Figure] = set()

    def watched(figure: Figure, made: Callable[..., Any]) -> Callable[..., Any]:
        @functools.wraps(made)
        def watching(*args: Any, **kwargs: Any) -> Any:
            found.add(figure)
            return made(*args, **kwargs)

        return watching

    stands_for = {
        made: watched(figure, made)
        for figure, rule in RULES.items()
        for made in rule.made_by
    }
    ours = [
        module for name, module in sys.modules.items() if name.startswith("heritage")
    ]
    changed = [
        (module, name, value)
        for module in ours
        for name, value in list(vars(module).items())
        if callable(value) and getattr(value, "__hash__", None) and value in stands_for
    ]
    for module, name, value in changed:
        setattr(module, name, stands_for[value])
    try:
        yield found
    finally:
        for module, name, value in changed:
            setattr(module, name, value)


def view_of(path: str) -> str:
    """Name the view that an address leads to, or nothing."""
    try:
        return resolve(path).view_name
    except Resolver404:
        return ""


def pages(client: Client, home: str) -> Iterator[tuple[str, str, set[Figure]]]:
    """Walk from a page along its links: each view once, what it says and works out."""
    ahead, met = [home], {view_of(home)}
    with noted() as figures:
        while ahead:
            path = ahead.pop(0)
            figures.clear()
            response = client.get(path)
            html = finish(response).decode(errors="ignore")
            if response.status_code != 200 or "<main" not in html:
                continue
            yield view_of(path), html[html.index("<main") :], set(figures)
            for link in HREF.findall(html):
                view = "" if NO_PAGE.search(link) else view_of(link)
                if link.startswith("/at/") and view and view not in met:
                    met.add(view)
                    ahead.append(link)


def opened(main: str) -> set[Figure]:
    """Return the figures that a page opens, and what those are made of."""
    here = {Figure(one) for one in OPENED.findall(main)}
    return here.union(*(MADE_OF.get(one, set()) for one in here))


def unopened(client: Client, home: str) -> list[str]:
    """Return each figure that a page neither opens nor leads to."""
    walked = [
        (
            view,
            opened(main),
            {view_of(link) for link in HREF.findall(main)},
            made,
        )
        for view, main, made in pages(client, home)
    ]
    opened_at = {view: opens for view, opens, _, _ in walked}
    wrong = []
    for view, opens, leads_to, made in walked:
        near = opens.union(*(opened_at.get(one, set()) for one in leads_to))
        silent = {figure for figure in made if (view, figure) in UNSHOWN}
        wrong += [f"{view}: {figure}" for figure in sorted(made - near - silent)]
    return wrong
