"""First steps that every walk through the site takes, in a real browser.

Nothing is made behind the site's back: accounts by the mailed code, everything else
by the pages, as a newcomer would.
"""

import re

from django.conf import settings
from django.core import mail
from django.test import Client
from playwright.sync_api import Locator, Page, expect

from heritage.gatherings.models import Gathering
from heritage.people.models import User
from heritage.season.models import Demonstration

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}


def signed_in(page: Page, user: User, site: str) -> Page:
    """Give a page somebody's session: signing in is walked elsewhere."""
    client = Client()
    client.force_login(user)
    cookie = client.cookies[settings.SESSION_COOKIE_NAME]
    page.context.add_cookies([{"name": cookie.key, "value": cookie.value, "url": site}])
    return page


def press(page: Page, control: Locator) -> None:
    """Press it and wait for the page that answers, as anybody would."""
    with page.expect_navigation():
        control.click()


def make_account(page: Page, name: str, email: str) -> None:
    page.goto("/account/signup/")
    page.get_by_label("E-mail address").fill(email)
    page.get_by_label("Your name").fill(name)
    page.get_by_role("button", name="Send me a code").click()
    expect(page.get_by_label("Code")).to_be_visible()
    code = re.search(r"\b\d{6}\b", mail.outbox[-1].body).group()
    page.get_by_label("Code").fill(code)
    page.locator("main form").first.locator("button").first.click()
    expect(page.get_by_role("link", name="my account")).to_be_visible()


def set_up(page: Page, day: str = "2026-08-12", roods: str = "2") -> str:
    """Set a demonstration up, seeing its place and sunset first; return its address.

    Five answers, and the first evening is posted. Then what a walk needs besides: the
    dam and the pay, each where it is asked.
    """
    page.goto("/new/")
    page.get_by_label("What is it called?").fill("Flax at Lintholm")
    page.get_by_label("Where is the field?").fill("95, -6.4")
    page.get_by_label("Size").fill(roods)
    page.locator("[name=measure]").select_option("rood")
    page.locator("[name=day]").fill(day)
    page.locator("[name=starts]").fill("19:30")
    page.get_by_role("button", name="Show the place and light").click()
    expect(page.get_by_text("The sun sets there at")).to_be_hidden()
    page.get_by_label("Where is the field?").fill("54.6, -6.4")
    page.get_by_role("button", name="Show the place and light").click()
    # The gazetteer is read by the first who looks for a place.
    sun = page.get_by_text("The sun sets there at")
    expect(sun).to_be_visible(timeout=20_000)
    expect(page.get_by_text("Rules on children, machines and water")).to_be_visible()
    press(page, page.get_by_role("button", name="Post the first evening"))
    expect(page.get_by_text("its first evening is posted")).to_be_visible()
    home = f"/at/{Demonstration.objects.get().slug}/"
    page.goto(home + "set-up/")
    page.get_by_text("Counting and pay", exact=True).click()
    page.get_by_label("Token pay for a stook, in old money").fill("1s")
    press(page, page.get_by_role("button", name="Save", exact=True))
    add_dam(page, home)
    return home


def add_dam(page: Page, home: str) -> None:
    """Add the dam, where it is first needed."""
    page.goto(home + "dam/")
    page.get_by_role("link", name="Add a dam").click()
    page.locator("[name=name]").fill("The dam")
    for name, value in {
        "top_length_m": "8",
        "top_width_m": "3",
        "bottom_length_m": "7",
        "bottom_width_m": "2",
        "depth_m": "1.2",
    }.items():
        page.locator(f"[name={name}]").fill(value)
    press(page, page.locator("main form button.act").first)


def change_evening(page: Page, starts: str, ends: str, places: str) -> str:
    """Give the first evening its times, gate and places; return its address."""
    page.goto(Gathering.objects.get().get_absolute_url() + "edit/")
    page.locator("[name=starts]").fill(starts)
    page.locator("[name=ends]").fill(ends)
    page.get_by_label("Where to meet").fill("The gate on the lane")
    page.locator("[name$=-places]").first.fill(places)
    page.locator("details:has([name=stations-0-fewest]) > summary").click()
    page.locator("[name=stations-0-fewest]").fill("")
    press(page, page.locator("main form button.act").first)
    expect(page.get_by_role("heading", name="Pulling evening")).to_be_visible()
    return page.url


def post_evening(page: Page) -> str:
    """Let the first evening run past the light, with one place; return its address."""
    evening = change_evening(page, "19:30", "22:30", "1")
    expect(page.get_by_text("These times run past the light")).to_be_visible()
    page.locator("details:has(figure.drawing) > summary").first.click()
    expect(page.locator("figure.drawing svg").first).to_be_visible()
    expect(page.get_by_role("heading", level=3).nth(2)).to_be_visible()
    return evening


def join_and_sign_up(page: Page, home: str, evening: str, wanted: str) -> None:
    """Join, hear the briefing, and ask for the one place at pulling, on one page."""
    page.goto(evening)
    page.get_by_role("link", name="Take a place").click()
    page.get_by_label("I am 18 or over").check()
    page.locator("[name=station_me]").select_option(index=0)
    page.get_by_label("I've read this").check()
    press(page, page.get_by_role("button", name="Take my place"))
    expect(page.get_by_text(wanted).first).to_be_visible()
