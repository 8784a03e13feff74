"""First steps that every walk through the site takes, in a real browser.

Nothing is made behind the site's back: accounts by the mailed code, everything else
by the pages, as a newcomer would.
"""

import re

from django.core import mail
from playwright.sync_api import Locator, Page, expect

from heritage.season.models import Demonstration

PHONE = {"width": 390, "height": 844}
DESK = {"width": 1280, "height": 800}


def press(page: Page, control: Locator) -> None:
    """Press it and wait for the page that answers, as anybody would."""
    with page.expect_navigation():
        control.click()


def make_account(page: Page, name: str, email: str) -> None:
    page.goto("/account/signup/")
    page.get_by_label("Email").fill(email)
    page.get_by_label("Your name").fill(name)
    page.get_by_role("button", name="Send me a code").click()
    expect(page.get_by_label("Code")).to_be_visible()
    code = re.search(r"\b\d{6}\b", mail.outbox[-1].body).group()
    page.get_by_label("Code").fill(code)
    page.locator("main form").first.locator("button").first.click()
    expect(page.get_by_role("link", name="my account")).to_be_visible()


def set_up(page: Page, sunset: str = "21:", roods: str = "2") -> str:
    """Set a demonstration up, seeing its sunset first; return its address."""
    page.goto("/new/")
    page.get_by_label("Name", exact=True).first.fill("Flax at Lintholm")
    page.get_by_label("Place", exact=True).fill("Lintholm")
    page.get_by_label("Latitude").fill("95")
    page.get_by_label("Longitude").fill("-6.4")
    page.get_by_role("button", name="Show the light there").click()
    expect(page.get_by_text("That is nowhere yet")).to_be_visible()
    page.get_by_label("Latitude").fill("54.6")
    page.get_by_role("button", name="Show the light there").click()
    expect(page.get_by_text(f"Sunset there today is at {sunset}")).to_be_visible()
    expect(page.get_by_label("Place", exact=True)).to_have_value("Lintholm")
    page.get_by_label("Whose rules apply").select_option("ni")
    page.get_by_label("Token pay for a stook, in old money").fill("1s")
    page.get_by_label("Area").fill(roods)
    page.locator("[name=plot-measure]").select_option("rood")
    page.locator("[name=dam-name]").fill("The dam")
    for name, value in {
        "top_length_m": "8",
        "top_width_m": "3",
        "bottom_length_m": "7",
        "bottom_width_m": "2",
        "depth_m": "1.2",
    }.items():
        page.locator(f"[name=dam-{name}]").fill(value)
    page.get_by_role("button", name="Set it up").click()
    expect(page.get_by_text("is set up. Now post the first evening.")).to_be_visible()
    return f"/at/{Demonstration.objects.get().slug}/"


def post_evening(page: Page) -> str:
    """Post an evening that runs past the light; return its address."""
    page.get_by_label("Title").fill("Pulling evening")
    page.locator("[name=day]").fill("2026-08-12")
    page.locator("[name=starts]").fill("19:30")
    page.locator("[name=ends]").fill("22:30")
    page.get_by_label("Where to meet").fill("The gate on the lane")
    page.locator("[name$=-places]").first.fill("1")
    page.get_by_role("button", name="Post it").click()
    expect(page.get_by_role("heading", name="Pulling evening")).to_be_visible()
    expect(page.get_by_text("These times run past the light")).to_be_visible()
    expect(page.locator("figure.drawing svg").first).to_be_visible()
    expect(page.get_by_role("heading", level=3).nth(2)).to_be_visible()
    return page.url


def join_and_sign_up(page: Page, home: str, evening: str, wanted: str) -> None:
    """Join, hear the briefing, and ask for the one place at pulling."""
    page.goto(home)
    page.get_by_role("link", name="Join in").first.click()
    page.get_by_label("I am 18 or over").check()
    press(page, page.get_by_role("button", name="Join"))
    page.goto(evening)
    page.get_by_role("link", name=re.compile("Read the briefing")).first.click()
    heard = page.get_by_role("button", name="I have read this and will keep to it")
    press(page, heard.first)
    page.goto(evening)
    page.get_by_role("button", name=re.compile("(Sign up|waiting list): Pull")).click()
    expect(page.get_by_text(wanted).first).to_be_visible()
