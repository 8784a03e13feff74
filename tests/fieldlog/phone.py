"""A phone for the tests: a real browser whose store outlives it."""

import re
import shutil
import tempfile
from datetime import timedelta

from django.conf import settings
from django.test import Client
from playwright.sync_api import BrowserContext, Page, expect

from tests.conftest import BROWSERS, SWITCHES
from tests.pictures.photographs import photograph

SIZE = {"width": 390, "height": 844}

# The clock that somebody can set; the browser's other one (performance.now) runs on.
# How far it is out outlives a page, as it would on a real phone.
SET_CLOCK = """(() => {
    const Real = Date;
    const out = () => Number(localStorage.getItem("clock is out by") ?? 0);
    globalThis.Date = class extends Real {
        constructor(...said) { super(...(said.length ? said : [Date.now()])); }
        static now() { return Real.now() + out(); }
    };
})()"""


class Phone:
    """Somebody's phone: switched on and off, with and without a signal."""

    def __init__(self, browser, site: str, path: str):
        self.kind, self.site, self.path = browser.browser_type, site, path
        self.store = tempfile.mkdtemp(prefix="heritage-phone-")
        self.context: BrowserContext
        self.page: Page
        self.said: list[str] = []

    def switch_on(self, **options):
        program = next(filter(None, map(shutil.which, BROWSERS)))
        self.context = self.kind.launch_persistent_context(
            self.store,
            executable_path=program,
            args=SWITCHES,
            viewport=SIZE,
            **options,
        )
        self.context.add_init_script(SET_CLOCK)
        self.page = self.context.new_page()
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda error: self.said.append(f"Error: {error}"))

    def switch_off(self):
        self.context.close()

    def throw_away(self):
        self.context.close()
        shutil.rmtree(self.store, ignore_errors=True)

    def sign_in(self, user):
        client = Client()
        client.force_login(user)
        cookie = client.cookies[settings.SESSION_COOKIE_NAME]
        self.context.add_cookies(
            [
                {
                    "name": cookie.key,
                    "value": cookie.value,
                    "url": self.site,
                    "expires": 4_000_000_000,
                }
            ]
        )

    def lose_session(self):
        self.context.clear_cookies()

    def signal(self, there: bool):
        self.context.set_offline(not there)

    def set_clock(self, out: timedelta):
        """Set the phone's clock: so far fast, or slow if it is negative."""
        self.page.evaluate(
            "(ms) => localStorage.setItem('clock is out by', ms)",
            out / timedelta(milliseconds=1),
        )

    def open(self):
        self.page.goto(self.site + self.path)
        expect(self.page.locator("#log-book")).to_be_visible()

    def open_and_keep(self):
        self.open()
        expect(self.page.locator("#log-kept")).to_contain_text(
            "opens without a signal", timeout=20_000
        )

    def tap(self, what, name):
        self.page.get_by_role("button", name=f"{what}, {name}", exact=True).click()

    def tap_heard(self, name, title):
        self.page.get_by_role("button", name=f"{name} heard it: {title}").click()

    def open_person(self, name):
        """Open what is seldom wanted of somebody here, unless it is open."""
        row = self.page.locator("#log-here .log-person", has_text=name)
        row.locator("details:not([open]) > summary").click()

    def undo(self, name):
        self.open_person(name)
        self.tap("Undo", name)

    def leave(self, name):
        self.open_person(name)
        self.tap("Left", name)

    def come_back(self, name):
        self.unfold("Gone home")
        self.tap("Came", name)

    def height(self):
        return self.page.evaluate("document.documentElement.scrollHeight")

    def unfold(self, title):
        fold = self.page.locator("summary", has_text=title)
        if not fold.is_visible():
            self.page.get_by_role("link", name="Write", exact=True).click()
        fold.click()

    def write(self, text):
        self.unfold("A note")
        self.page.get_by_label("Your note").fill(text)
        self.page.get_by_role("button", name="Save the note").click()
        self.unfold("A note")

    def take_photograph(self, caption):
        self.unfold("A photograph")
        self.page.locator("#picture-file").set_input_files(
            {"name": "1.jpg", "mimeType": "image/jpeg", "buffer": photograph()}
        )
        self.page.locator("#picture-caption").fill(caption)
        self.page.get_by_role("button", name="Save the photograph").click()
        self.unfold("A photograph")

    def read_water(self, degrees):
        self.unfold("temperature")
        self.page.get_by_label("Degrees Celsius").fill(degrees)
        self.page.get_by_role("button", name="Save the reading").click()
        self.unfold("temperature")

    def move_lot(self, beets, lot="tonight", source="stook", target="cart"):
        self.unfold("A lot moved")
        self.page.locator(f"#move-lot [value='{lot}']").check()
        self.page.locator("#move-source").select_option(source)
        self.page.locator("#move-target").select_option(target)
        self.page.locator("#move-beets").fill(beets)
        self.page.get_by_role("button", name="Save the move").click()
        self.unfold("A lot moved")

    def see_crop(self, flower="", **figures):
        self.unfold("The crop")
        self.page.get_by_label("Flower").select_option(flower)
        for label, value in figures.items():
            self.page.locator(f"#crop-{label}").fill(value)
        self.page.get_by_role("button", name="Save what you saw").click()
        self.unfold("The crop")

    def hear_thunder(self):
        self.page.get_by_role("button", name="Thunder heard").click()

    def says(self, words, patience=20):
        """Expect words on the line that says what is saved, sent and refused."""
        expect(self.page.locator("#log-state")).to_contain_text(
            words, timeout=patience * 1000
        )

    def shows(self, name, beets):
        row = self.page.locator(".log-person", has_text=name)
        expect(row.locator(".log-count")).to_have_text(re.compile(rf"^{beets}$"))

    def names(self):
        """Return every name that the phone's store holds."""
        return self.page.evaluate(
            """() => new Promise((keep) => {
                const request = indexedDB.open("field");
                request.onsuccess = () => {
                    const books = request.result
                        .transaction("books").objectStore("books").getAll();
                    books.onsuccess = () => keep(
                        books.result.flatMap((b) => b.people.map((p) => p.name)));
                };
            })"""
        )

    def ground(self):
        """Return the colour of the page."""
        return self.page.evaluate(
            "getComputedStyle(document.documentElement).backgroundColor"
        )

    def kept_pages(self):
        return self.page.evaluate(
            "caches.open('field-pages').then(c => c.keys())"
            ".then(all => all.map(r => new URL(r.url).pathname))"
        )
