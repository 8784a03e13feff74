"""The look in a real browser: rules of access, narrow screens, keyboard, themes."""

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.conf import settings
from django.contrib.staticfiles.testing import StaticLiveServerTestCase
from django.test import Client, override_settings
from playwright.sync_api import Page, expect

from tests.factories import make_user

WIDTHS = [(1280, 800), (390, 844), (320, 640)]
PAGES = ["/specimen/", "/specimen/?name=", "/account/login/", "/account/signup/"]
# Text spacing that a reader may set, of WCAG 2.2 success criterion 1.4.12.
SPACING = (
    "* { line-height: 1.5 !important; letter-spacing: 0.12em !important;"
    " word-spacing: 0.16em !important } p { margin-bottom: 2em !important }"
)


@pytest.mark.browser
@pytest.mark.any_database
@override_settings(ROOT_URLCONF="tests.common.look_urls")
class LookTests(StaticLiveServerTestCase):
    @pytest.fixture(autouse=True)
    def _with_browser(self, chromium):
        self.browser = chromium

    def open(self, path: str, size: tuple[int, int], **options: object) -> Page:
        viewport = {"width": size[0], "height": size[1]}
        context = self.browser.new_context(viewport=viewport, **options)
        self.addCleanup(context.close)
        page = context.new_page()
        page.goto(self.live_server_url + path)
        return page

    def test_axe_finds_nothing_in_either_theme(self):
        for path in PAGES:
            page = self.open(path, WIDTHS[0], bypass_csp=True)
            for scheme in ("light", "dark"):
                page.emulate_media(color_scheme=scheme)
                for width, height in (WIDTHS[0], WIDTHS[2]):
                    page.set_viewport_size({"width": width, "height": height})
                    found = Axe().run(page).response["violations"]
                    assert [(v["id"], v["nodes"][0]["target"]) for v in found] == []

    def test_no_page_is_wider_than_its_screen(self):
        for path in PAGES:
            for size in WIDTHS:
                page = self.open(path, size, bypass_csp=True)
                assert width_of(page) <= size[0], (path, size)
                page.add_style_tag(content=SPACING)
                assert width_of(page) <= size[0], (path, size, "spaced")

    def test_a_long_name_is_cut_and_does_not_widen_the_page(self):
        user = make_user(name="Maximiliana-Theodora of the Far and Middle Meadow " * 2)
        client = Client()
        client.force_login(user)
        page = self.open("/specimen/", WIDTHS[1])
        cookie = client.cookies[settings.SESSION_COOKIE_NAME].value
        page.context.add_cookies(
            [
                {
                    "name": settings.SESSION_COOKIE_NAME,
                    "value": cookie,
                    "url": self.live_server_url,
                }
            ]
        )
        page.reload()
        expect(page.locator(".label-who")).to_contain_text("Maximiliana")
        assert width_of(page) <= WIDTHS[1][0]

    def test_what_is_pressed_is_large_enough(self):
        """But for a word that opens: it is as high as its sentence."""
        page = self.open("/specimen/?name=", WIDTHS[1])
        heights = page.eval_on_selector_all(
            "button:not(.word), select,"
            " input:not([type=hidden], [type=radio], [type=checkbox]),"
            " summary, .choice, .act, .act-quiet, .tabs a, .strip a, .sheet-link a,"
            " .foot a, .puts-right a",
            "all => all.map(e => [e.textContent.trim(), e.offsetHeight])",
        )
        assert len(heights) > 30
        assert [one for one in heights if one[1] < 44] == []

    def test_the_policy_stops_nothing(self):
        context = self.browser.new_context()
        self.addCleanup(context.close)
        page = context.new_page()
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text))
        for path in PAGES:
            page.goto(self.live_server_url + path)
        assert [text for text in said if "Content Security Policy" in text] == []

    def test_the_keyboard_skips_to_the_page_and_shows_where_it_is(self):
        page = self.open("/specimen/", WIDTHS[0])
        page.keyboard.press("Tab")
        expect(page.locator(":focus")).to_have_text("Skip to the page")
        page.keyboard.press("Enter")
        expect(page.locator(":focus")).to_have_id("leaf")
        page.keyboard.press("Tab")
        outline = page.locator(":focus").evaluate(
            "e => getComputedStyle(e).outlineWidth"
        )
        assert outline == "3px"

    def test_what_to_put_right_is_read_first(self):
        page = self.open("/specimen/?name=", WIDTHS[1])
        expect(page.locator(":focus")).to_have_class("puts-right")
        page.get_by_role("link", name="Beets: Please fill this in.").click()
        expect(page.locator("#id_beets")).to_be_focused()

    def test_the_chosen_theme_beats_the_device_and_stays(self):
        page = self.open("/specimen/", WIDTHS[1], color_scheme="light")
        by_device = ground_of(page)
        page.get_by_role("button", name="Dark").click()
        assert ground_of(page) != by_device
        page.reload()
        assert ground_of(page) != by_device
        page.get_by_role("button", name="Auto").click()
        assert ground_of(page) == by_device

    def test_paper_is_white_and_carries_no_controls(self):
        page = self.open("/specimen/", WIDTHS[0], color_scheme="dark")
        page.emulate_media(media="print")
        assert ground_of(page) == "rgb(255, 255, 255)"
        for hidden in (".places", ".acts", ".light", ".skip"):
            expect(page.locator(hidden).first).to_be_hidden()
        expect(page.get_by_role("heading", level=1)).to_be_visible()


def width_of(page: Page) -> int:
    return page.evaluate("document.documentElement.scrollWidth")


def ground_of(page: Page) -> str:
    return page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
