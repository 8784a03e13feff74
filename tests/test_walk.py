"""The main job in a real browser, end to end: organiser, volunteer, visitor.

Nothing is made behind the site's back: accounts by the mailed code, everything else
by the pages, as a newcomer would.
"""

import re
from io import BytesIO

import pytest
from django.conf import settings
from django.core import mail
from playwright.sync_api import Page, expect
from pypdf import PdfReader

from tests.walking import (
    DESK,
    PHONE,
    join_and_sign_up,
    make_account,
    post_evening,
    press,
    set_up,
)

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

MAEVE = "maeve@example.org"
LOG = """time,temperature
2026-08-12 18:00,16.5
2026-08-12 17:30,warm
2026-08-12 16:00,16.2
"""


def make_call(page: Page, evening: str, decision: str) -> None:
    page.goto(evening)
    decide = re.compile("Decide if|Change the decision")
    press(page, page.get_by_role("link", name=decide).first)
    page.locator("summary", has_text="The weather at the gate").click()
    page.get_by_label("Rain").fill("0")
    press(page, page.get_by_role("button", name="Get advice"))
    expect(page.get_by_text("The advice is")).to_be_visible()
    if decision == "Call it off":
        page.get_by_label("Why, if you call it off").select_option("soft ground")
    page.get_by_label("In your own words").fill("The lane is under water.")
    press(page, page.get_by_role("button", name=decision, exact=True))
    press(page, page.get_by_role("button", name="Send it now"))


def log_evening(page: Page, evening: str, who: str) -> None:
    """Put down who came, and write the beets in, once with a slip."""
    page.goto(evening)
    page.locator("summary", has_text="More").first.click()
    press(page, page.get_by_role("link", name="Who came").first)
    beets = page.get_by_label(f"Beets, {who}")
    beets.fill("-3")
    press(page, page.get_by_role("button", name="Save").first)
    expect(page.get_by_text("Enter 0 or more.").first).to_be_visible()
    expect(beets).to_have_value("-3")
    beets.fill("25")
    press(page, page.get_by_role("button", name="Save").first)
    expect(page.get_by_text("Saved: who came").first).to_be_visible()


def fill_and_read_dam(page: Page, home: str, tmp_path) -> None:
    """Fill the dam, type one temperature and take a logger's file in."""
    page.goto(home + "dam/")
    page.get_by_role("link", name="Begin a ret").first.click()
    page.locator("[name=began_at]").fill("2026-08-11T09:00")
    page.locator("[name=beets]").fill("120")
    page.locator("[name=why_more]").fill("The rest was pulled before we began.")
    page.locator("[name=water_depth_m]").fill("1.1")
    page.get_by_role("button", name="The flax is under water").click()
    page.get_by_role("link", name="Add a reading").first.click()
    page.locator("[name=at]").fill("2026-08-12T08:00")
    page.locator("[name=temp_c]").fill("16.0")
    press(page, page.locator("main form button.act").first)
    log = tmp_path / "logger.csv"
    log.write_text(LOG)
    page.locator("summary", has_text="All readings").click()
    page.get_by_role("link", name="Add a logger's file").first.click()
    page.locator("input[type=file]").set_input_files(log)
    press(page, page.locator("main form button.act").first)
    expect(page.get_by_text("warm").first).to_be_visible()
    page.locator("main form button").first.click()
    expect(page.get_by_text("16.5").first).to_be_visible()
    page.get_by_text("The course of the ret", exact=True).first.click()
    expect(page.locator("figure.drawing svg").first).to_be_visible()


def photograph(page: Page, home: str) -> None:
    """Attach a picture to the stage, with its words, and publish it."""
    picture = settings.BASE_DIR / "fixtures" / "pictures" / "01-sowing.jpg"
    page.goto(home + "pictures/add/")
    page.locator("input[type=file]").set_input_files(picture)
    page.locator("[name=caption]").fill("The first beets of the evening.")
    page.locator("[name=alt_text]").fill("Three tied sheaves lie on bare ground.")
    page.locator("[name=stage]").select_option("pulling")
    page.locator("[name=gathering]").select_option(index=1)
    page.locator("[name=credit]").fill("Orla Fenn")
    page.locator("[name=shown][value=nobody]").check()
    page.get_by_role("button", name="Add the picture").click()
    page.get_by_role("button", name="Show it to visitors").click()
    expect(page.locator("main img").first).to_be_visible()


def read_sheet(page: Page, address: str) -> str:
    answer = page.request.get(address)
    assert answer.status == 200
    assert answer.headers["content-type"] == "application/pdf"
    return "\n".join(
        leaf.extract_text() for leaf in PdfReader(BytesIO(answer.body())).pages
    )


def print_everything(page: Page, home: str, evening: str) -> None:
    """Print the process sheet, the briefing, and the sign-in and tally sheet."""
    process = read_sheet(page, f"{home}sheets/process/pulling.pdf")
    assert "roots" in process
    page.goto(home + "sheets/")
    links = page.locator("main a[href*='/safety/'][href$='/sheet/']")
    link = links.filter(has_text="Pulling").first
    briefing = link.get_attribute("href")
    assert "Pulling" in read_sheet(page, briefing)
    sign_in = read_sheet(page, f"{evening}sign-in-sheet/")
    assert "Piotr Lin" in sign_in
    assert "thunder" in sign_in


def test_the_main_job_runs_end_to_end(open_page, tmp_path):
    """From an empty site to a printed, public, called-off evening."""
    nora = open_page(DESK)
    make_account(nora, "Nora Bell", "nora@example.org")
    home = set_up(nora)
    evening = post_evening(nora)

    nora.goto(home + "people/add/")
    nora.get_by_label("Name", exact=True).fill("Bea Paper")
    press(nora, nora.locator("main form button").first)

    maeve, piotr = open_page(PHONE), open_page(PHONE)
    make_account(maeve, "Maeve Orr", MAEVE)
    join_and_sign_up(maeve, home, evening, "You have a place at")
    make_account(piotr, "Piotr Lin", "piotr@example.org")
    join_and_sign_up(piotr, home, evening, "on the waiting list")

    make_call(nora, evening, "Go ahead")
    log_evening(nora, evening, "Maeve Orr")
    maeve.goto(home + "tally/")
    expect(maeve.get_by_text("25").first).to_be_visible()
    expect(maeve.get_by_text("2s").first).to_be_visible()
    expect(maeve.get_by_text("£0.10").first).to_be_visible()

    fill_and_read_dam(nora, home, tmp_path)
    photograph(nora, home)

    nora.goto(home + "gatherings/post/")
    nora.get_by_label("Title").fill("Second evening")
    nora.locator("[name=day]").fill("2026-08-13")
    nora.locator("[name=starts]").fill("18:30")
    nora.locator("[name=ends]").fill("20:30")
    nora.get_by_label("Where to meet").fill("The gate on the lane")
    press(nora, nora.get_by_role("button", name="Post it"))
    second = nora.url
    maeve.goto(second)
    press(maeve, maeve.get_by_role("button", name=re.compile("Sign up: Pull")))
    before = len(mail.outbox)
    make_call(nora, second, "Call it off")
    told = [letter for letter in mail.outbox[before:] if MAEVE in letter.to]
    parts = [part.content for letter in told for part in letter.alternatives]
    assert any("METHOD:CANCEL" in part for part in parts)

    maeve.goto(evening)
    press(maeve, maeve.get_by_role("button", name=re.compile("Give up this place")))
    press(maeve, maeve.get_by_role("button", name="Give it up"))
    piotr.goto(evening)
    expect(piotr.get_by_text("You have a place at").first).to_be_visible()

    visitor = open_page(PHONE)
    visitor.goto(home)
    expect(visitor.get_by_text("called off").first).to_be_visible()
    expect(visitor.locator(".progress .said")).to_contain_text("tied")
    expect(visitor.locator("main img").first).to_be_visible()
    assert "Maeve" not in visitor.locator("main").inner_text()
    feed = visitor.request.get(f"{home}calendar/gatherings.ics").text()
    assert "STATUS:CANCELLED" in feed
    assert feed.count("BEGIN:VEVENT") == 2
    print_everything(nora, home, evening)
