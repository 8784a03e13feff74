"""A whole season in a real browser, from the sowing to hackled line.

As in the other walks, nothing is made behind the site's back but the clock, which goes
on from day to day.
"""

import re
import time
from io import BytesIO

import pytest
from django.conf import settings
from playwright.sync_api import Locator, Page, expect
from pypdf import PdfReader

from heritage.common import clock
from tests.walking import (
    DESK,
    PHONE,
    join_and_sign_up,
    make_account,
    press,
    set_up,
)

pytestmark = [
    pytest.mark.browser,
    pytest.mark.any_database,
    pytest.mark.django_db(transaction=True),
]

READY = "tested: the wood breaks and leaves sound fibre"


@pytest.fixture
def day(monkeypatch):
    """Let the site's clock begin anew on a day of the season, at an hour."""

    def begin(moment: str) -> None:
        monkeypatch.setattr(settings, "CLOCK_STARTS_AT", f"2026-{moment}:00+01:00")
        monkeypatch.setattr(clock, "_STARTED", time.monotonic())

    return begin


def button(page: Page, words: str) -> Locator:
    return page.get_by_role("button", name=words, exact=True)


def follow(page: Page, words: str) -> None:
    """Follow the first link of the page itself that begins so."""
    links = page.locator("main").get_by_role("link", name=re.compile(f"^{words}"))
    press(page, links.first)


def said(page: Page, words: str) -> None:
    expect(page.locator("main")).to_contain_text(re.compile(words))


def do_today(page: Page, home: str, words: str) -> None:
    """Open what Today says wants doing."""
    page.goto(home + "today/")
    more = page.locator("main summary", has_text="more for this week")
    if more.count():
        more.click()
    leads = page.get_by_role("heading", level=1).inner_text().strip()
    line = page.locator(".now-list").get_by_role("link", name=re.compile(f"^{words}"))
    press(page, page.locator(".leaf-acts .act") if re.match(words, leads) else line)


def stage(page: Page, home: str, name: str, state: str) -> None:
    """Expect what the season board says of a stage."""
    page.goto(home + "season/")
    row = page.locator("tr").filter(has_text=re.compile(f"^\\s*{name}\\b"))
    expect(row.first).to_contain_text(state)


def sow(page: Page, home: str) -> None:
    do_today(page, home, "Say when the crop was sown")
    page.locator("[name=sown_on]").fill("2026-04-24")
    page.locator("[name=seed]").fill("26,5")
    press(page, page.get_by_role("button", name=re.compile("^Save")).first)
    said(page, "Likely ready to pull about")
    said(page, "Sown on 24 April, 131 kg of seed a hectare")
    stage(page, home, "Sowing", "done")


def see(page: Page, home: str, **seen: str) -> None:
    """Add what was seen today: on the page itself, or in the fold of ripening."""
    page.goto(home + "crop/")
    press(page, page.get_by_role("link", name="Growing", exact=True).first)
    follow(page, "Add what you saw")
    if flower := seen.pop("flower", ""):
        page.get_by_label("Flower").select_option(flower)
    if "stems_yellow" in seen:
        page.locator("summary", has_text="Ripening").click()
    for name, value in seen.items():
        page.locator(f"[name={name}]").fill(value)
    press(page, button(page, "Save"))
    said(page, "Thank you for looking")


def post_from_plan(page: Page, home: str) -> str:
    """Take the starting patterns, and post what the plan proposes by one press."""
    said(page, "likely about \\d+ August")
    page.goto(home + "gatherings/patterns/")
    press(page, button(page, "Add those ticked"))
    page.goto(home + "crop/harvest/")
    press(page, page.get_by_role("button", name=re.compile("Post this.*Mon.* 3 Aug")))
    said(page, "“Pulling by hand” is posted for Monday 3 August")
    follow(page, "The gatherings")
    follow(page, "Pulling by hand")
    return page.url


def call(page: Page, evening: str) -> None:
    page.goto(evening)
    follow(page, "Decide if")
    page.get_by_label("In your own words").fill("A light breeze, and the crop is dry.")
    press(page, button(page, "Go ahead"))
    press(page, button(page, "Send it now"))
    said(page, "Change the decision")


def count(page: Page, home: str, evening: str) -> None:
    """Put down who came and what they tied; it is a lot by itself."""
    page.goto(evening)
    page.locator("main summary", has_text="More").first.click()
    follow(page, "Who came")
    page.get_by_label("Beets, Maeve Orr").fill("120")
    press(page, page.get_by_role("button", name=re.compile("^Save")).first)
    page.goto(home + "crop/")
    said(page, "120 beets in the field")
    stage(page, home, "Pulling", "going on")


def see_without_a_signal(page: Page, home: str, evening: str) -> None:
    """Say on the field page, without a signal, how far up the stems are yellow."""
    page.set_viewport_size(PHONE)
    page.goto(evening)
    page.locator("main summary", has_text="More").first.click()
    follow(page, "Field page")
    expect(page.locator("#log-kept")).to_contain_text("opens without a signal")
    page.context.set_offline(True)
    page.locator("summary", has_text="Notes and readings").click()
    page.locator("summary", has_text="The crop").click()
    page.locator("#crop-stems").fill("50")
    button(page, "Save what you saw").click()
    state = page.locator("#log-state")
    expect(state).to_contain_text("1 saved on this phone, not yet sent.")
    page.context.set_offline(False)
    expect(state).to_contain_text("1 sent.", timeout=40_000)
    page.set_viewport_size(DESK)
    page.goto(home + "crop/growing/")
    said(page, "stems yellow 50 % of the way up")


def cart(page: Page, home: str) -> None:
    page.goto(home + "crop/")
    follow(page, "Move Lot 1")
    page.get_by_label("on the cart", exact=True).check()
    press(page, button(page, "Move"))
    said(page, "On the cart\\s*120 beets")
    stage(page, home, "Carting", "going on")


def fill_dam(page: Page, home: str) -> None:
    page.goto(home + "dam/")
    follow(page, "[Bb]egin a ret")
    said(page, "120 beets can go in")
    page.locator("[name=beets]").fill("120")
    page.locator("[name=water_depth_m]").fill("1.1")
    press(page, button(page, "The flax is under water"))
    said(page, "In the dam:\\s+Lot 1 \\(120 beets\\)")
    stage(page, home, "Carting", "done")
    stage(page, home, "Retting", "going on")


def read_water(page: Page, home: str) -> None:
    page.goto(home + "today/")
    page.locator("[name=temp_c]").fill("18")
    press(page, button(page, "Save"))
    said(page, "18.0 °C is saved")


def lift(page: Page, home: str) -> None:
    """Be asked for a test or a reason; test; and lift."""
    page.goto(home + "dam/")
    follow(page, "Open the ret")
    follow(page, "Record the lifting")
    press(page, button(page, "The flax is out of the dam"))
    said(page, "No test says that it is ready")
    do_today(page, home, "Test the ret in the dam")
    page.get_by_label("The wood draws out free and clean").fill("5")
    press(page, button(page, "Save the test"))
    follow(page, "Record the lifting")
    press(page, button(page, "The flax is out of the dam"))
    said(page, "Don.t let the water out")
    stage(page, home, "Lifting", "done")


def spread(page: Page, home: str) -> None:
    do_today(page, home, "Spread 120 beets on the grass")
    page.get_by_label("Where").fill("The low meadow")
    press(page, button(page, "Save"))
    said(page, "Turn it\\s*Tuesday 18 August")


def turn(page: Page, home: str) -> None:
    do_today(page, home, "Turn the flax at The low meadow")
    press(page, button(page, "Save"))
    said(page, "Turned\\.")


def bring_in(page: Page, home: str) -> None:
    """Test the flax on the grass, and bring it in."""
    do_today(page, home, "Test the flax at The low meadow")
    page.get_by_label(READY, exact=True).check()
    press(page, button(page, "Save"))
    do_today(page, home, "Bring in the flax from The low meadow")
    press(page, button(page, "Bring it in"))
    said(page, "120 beets in the store\\s+Not checked yet")
    stage(page, home, "Grassing", "done")


def look_after_store(page: Page, home: str) -> None:
    page.goto(home + "crop/fibre/store/")
    follow(page, "Add a dryness test")
    expect(page.get_by_label("Lot", exact=True)).to_have_value(re.compile("."))
    page.get_by_label("by hand: it breaks with a crack").check()
    page.get_by_label("By hand: the wood").select_option("yes")
    press(page, button(page, "Save the test"))
    follow(page, "Check the store")
    page.get_by_label("dry and sweet").check()
    page.get_by_label("air goes under and through it").check()
    press(page, button(page, "Save the check"))
    said(page, "The store is as it should be")


def work(page: Page, home: str, words: str, hours: tuple[str, str], **kg: str) -> None:
    """Write down a session of all that lies there, with its weights."""
    do_today(page, home, words)
    for name, hour in zip(("began_at", "ended_at"), hours, strict=True):
        page.locator(f"[name={name}]").fill(f"2026-10-10T{hour}")
    if page.locator("[name=there]").count():
        page.locator("[name=there]").first.check()
    weigh(page, **kg)


def weigh(page: Page, **kg: str) -> None:
    for name, value in kg.items():
        page.locator(f"[name={name}]").fill(value)
    press(page, button(page, "Save the session"))


def break_scutch_and_hackle(page: Page, home: str) -> None:
    """Work all of it to line; a weight that can hardly be so is asked about."""
    hours = ("11:00", "13:00")
    work(page, home, "Break Lot 1", hours, weighed_g="9500", onward_g="40")
    said(page, "8,360.0 kg dry from 120 beets\\? About")
    weigh(page, weighed_g="95")
    work(page, home, "Scutch", ("13:00", "14:30"), onward_g="9500", tow_g="4")
    said(page, "Is that in grams\\? Write kilograms")
    weigh(page, onward_g="9.5")
    work(page, home, "Hackle", ("14:30", "15:30"), onward_g="5", tow_g="3.9")
    for name in ("Breaking", "Scutching", "Hackling"):
        stage(page, home, name, "done")


def read_account_and_labels(page: Page, home: str) -> None:
    page.goto(home + "crop/")
    follow(page, "Fibre account")
    said(page, "120 beets came to 5.0 kg of line")
    page.goto(home + "crop/")
    follow(page, "Lot 1")
    page.locator("summary", has_text="More").click()
    link = page.get_by_role("link", name=re.compile("Print a sheet of labels"))
    answer = page.request.get(link.get_attribute("href"))
    assert answer.headers["content-type"] == "application/pdf"
    assert "Lot 1" in PdfReader(BytesIO(answer.body())).pages[0].extract_text()


def test_a_season_goes_from_the_sowing_to_hackled_line(open_page, day):
    """The organiser does what Today asks, and every page says where the crop is."""
    day("04-24T18:00")
    nora, maeve = open_page(DESK), open_page(PHONE)
    make_account(nora, "Nora Bell", "nora@example.org")
    # The plan posts its own evenings; the one asked for at first comes after them.
    home = set_up(nora, day="2026-10-20")
    sow(nora, home)
    day("06-29T19:00")
    see(nora, home, flower="start", height_cm="80")
    day("07-05T19:00")
    see(nora, home, flower="full", height_cm="90")
    day("08-01T19:00")
    see(nora, home, stems_yellow="33", leaves_fallen="40")
    evening = post_from_plan(nora, home)

    day("08-03T17:00")
    make_account(maeve, "Maeve Orr", "maeve@example.org")
    join_and_sign_up(maeve, home, evening, "You have a place at")
    call(nora, evening)
    day("08-03T20:30")
    count(nora, home, evening)
    see_without_a_signal(nora, home, evening)

    day("08-04T09:00")
    cart(nora, home)
    day("08-04T11:00")
    fill_dam(nora, home)
    for moment in ("08-05T08:00", "08-08T08:00", "08-11T08:00"):
        day(moment)
        read_water(nora, home)
    day("08-13T10:00")
    lift(nora, home)

    day("08-14T10:00")
    spread(nora, home)
    day("08-18T10:00")
    turn(nora, home)
    day("08-23T10:00")
    bring_in(nora, home)
    look_after_store(nora, home)
    day("10-10T16:00")
    break_scutch_and_hackle(nora, home)
    read_account_and_labels(nora, home)
