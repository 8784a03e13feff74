"""Pages in a Chromium without a server: what a file asks for, the test client answers.

Each page is opened once and then shown at every size and in both lights. What does not
hang on the light is asked by day alone.
"""

import mimetypes
import os
import re
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import Client

from tests.conftest import SWITCHES, the_browser
from tests.everywhere import Page
from tests.responses import finish

SITE = "http://pages.test"
PHONE, DESK, NARROW = (390, 844), (1280, 800), (320, 256)
STANDARD = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
LIGHT = ["color-contrast"]
AXE = Axe().axe_script
BROKEN = """options => axe.run(options).then(found =>
  found.violations.map(v => v.id + " " + v.nodes[0].target))"""
WIDE = """() => {
  const wide = document.documentElement.scrollWidth
  if (wide <= innerWidth) return ""
  const over = [...document.querySelectorAll("main *, header *, footer *")].find(
    one => one.getBoundingClientRect().right > innerWidth + 1)
  return `scrolls sideways to ${wide}: ${over ? over.outerHTML.slice(0, 90) : ""}`
}"""
# No page is over four of a phone's screens, but what has to be seen whole.
FOUR_SCREENS = 4 * PHONE[1]
WHOLE = re.compile(r"/(publish|stop|cautions|emergency)/$")
# In the field every target is as high as a gloved thumb wants.
SMALL = """() => [...document.querySelectorAll(
    "a[href], button, input, select, summary")]
  .filter(one => one.checkVisibility() && one.type !== "hidden")
  .map(one => one.closest("label") || one)
  .filter(one => {
    const box = one.getBoundingClientRect()
    return box.height && box.height < 43.5 && !one.classList.contains("skip")
      && getComputedStyle(one).display !== "inline"
  }).map(one => "under 44 px: " + one.outerHTML.slice(0, 90))"""
# Without script a form needs a way to be sent, and a button something to do.
UNSENT = """() => [
  ...[...document.forms].filter(form =>
    ![...form.elements].some(one => one.type === "submit" || one.type === "image"))
    .map(form => "cannot be sent: " + form.outerHTML.slice(0, 90)),
  ...[...document.querySelectorAll(
      "button[type=button]:not([popovertarget])")]
    .filter(one => one.checkVisibility())
    .map(one => "does nothing without script: " + one.outerHTML.slice(0, 90))]"""
# How many places Tab should come to: a set of radio buttons is one.
STOPS = """() => {
  const seen = new Set()
  return [...document.querySelectorAll(
    "a[href], button, input, select, textarea, summary, [tabindex]")].filter(one => {
    if (one.disabled || one.type === "hidden" || !one.checkVisibility()) return false
    // What only lends the Enter key its meaning is hidden from everybody.
    if (one.ariaHidden === "true") return false
    if (one.tabIndex < 0) return one.matches("a[href], button, input, select, textarea")
    if (one.type !== "radio") return true
    const set = one.form?.id + one.name
    return seen.has(set) ? false : seen.add(set)
  }).length
}"""


def asked_for(client: Client, path: str) -> tuple[str, bytes]:
    """Return the kind and content of what a page asks for beside itself."""
    if path.startswith(settings.STATIC_URL):
        file = finders.find(path.removeprefix(settings.STATIC_URL))
        kind = mimetypes.guess_type(path)[0] or "application/octet-stream"
        return kind, Path(file).read_bytes() if file else b""
    response = client.get(path)
    return response.headers.get("Content-Type", "text/plain"), finish(response)


@contextmanager
def opened(chromium: Any) -> Iterator[tuple[Any, dict[str, str]]]:
    """Give a tab that knows axe, and the pages that it finds at their addresses."""
    shown: dict[str, str] = {}
    client = Client()
    kept: dict[str, tuple[str, bytes]] = {}

    def answer(route: Any) -> None:
        parts = urlsplit(route.request.url)
        path = parts.path + (f"?{parts.query}" if parts.query else "")
        if path in shown:
            route.fulfill(content_type="text/html", body=shown[path])
            return
        if path not in kept:
            kept[path] = asked_for(client, path)
        route.fulfill(content_type=kept[path][0], body=kept[path][1])

    context = chromium.new_context()
    context.route("**/*", answer)
    page = context.new_page()
    page.add_init_script(AXE)
    yield page, shown
    context.close()


def shut_out(page: Any, size: tuple[int, int], scheme: str, rules: Any = None) -> list:
    """Say what axe finds at one size in one light, and whether it scrolls sideways."""
    page.set_viewport_size({"width": size[0], "height": size[1]})
    page.emulate_media(color_scheme=scheme)
    asked = {"type": "rule", "values": rules} if rules else STANDARD
    # The styles are the page's own: they need not be fetched a second time.
    options = {"runOnly": asked, "resultTypes": ["violations"], "preload": False}
    return [*page.evaluate(BROKEN, options), *filter(None, [page.evaluate(WIDE)])]


def tall(page: Any, path: str) -> list[str]:
    """Say how high a page stands on a phone, if that is over four screens."""
    page.set_viewport_size({"width": PHONE[0], "height": PHONE[1]})
    high = page.evaluate("document.documentElement.scrollHeight")
    over = high > FOUR_SCREENS and not WHOLE.search(path)
    return [f"{high} px high on a phone"] if over else []


def narrow(page: Any) -> list[str]:
    """Say what happens at 320 pixels, in the field, and without script."""
    page.set_viewport_size({"width": NARROW[0], "height": NARROW[1]})
    # The field page shows its own buttons only where its script runs.
    in_field = page.locator("body.log").count()
    found = [page.evaluate(WIDE), *page.evaluate(SMALL if in_field else UNSENT)]
    return [line for line in found if line]


def by_keyboard(page: Any) -> list[str]:
    """Press Tab to the end of the page: it comes to everything that can be done."""
    page.evaluate("() => { document.activeElement.blur(); scrollTo(0, 0) }")
    # Tab goes through a date and a time part by part.
    parts = 8 * page.locator("input[type^=date], input[type=time]").count()
    wanted = page.evaluate(STOPS)
    page.evaluate(
        """() => { window.visited = new Set()
        document.addEventListener("focusin", e => window.visited.add(e.target)) }"""
    )
    for _ in range(wanted + parts + 2):
        page.keyboard.press("Tab")
    reached = page.evaluate("window.visited.size")
    return [f"Tab comes to {reached} of {wanted}"] if reached < wanted else []


def look_at_all(pages: Iterable[Page]) -> Iterator[str]:
    """Look at every page in every way; yield what shuts somebody out."""
    from playwright.sync_api import sync_playwright

    # Playwright keeps an event loop in the thread that also asks the database.
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "true"
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=the_browser(), args=SWITCHES
        )
        with opened(chromium) as (tab, shown):
            for page in pages:
                shown[page.path] = page.html
                tab.goto(SITE + page.path)
                found = []
                for size in (PHONE, DESK):
                    found += shut_out(tab, size, "light")
                    found += shut_out(tab, size, "dark", LIGHT)
                found += tall(tab, page.path) + narrow(tab) + by_keyboard(tab)
                yield from (f"{page.file}: {line}" for line in found)
        chromium.close()
