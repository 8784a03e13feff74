"""A household's evening in a real browser: guardian, child, lead, first-aider.

As in the other walk, nothing is made behind the site's back.
"""

import re

import pytest
from playwright.sync_api import Page, expect

from tests.walking import DESK, PHONE, change_evening, make_account, press, set_up

pytestmark = [
    pytest.mark.browser,
    pytest.mark.any_database,
    pytest.mark.django_db(transaction=True),
]


def join(page: Page, home: str) -> None:
    page.goto(home + "people/join/")
    page.get_by_label("I am 18 or over").check()
    press(page, page.get_by_role("button", name="Join"))


def add_child(page: Page, home: str, name: str, age: str) -> None:
    page.goto(home + "people/me/")
    page.get_by_role("link", name="Add a child").click()
    page.locator("[name=name]").fill(name)
    page.locator(f"[name=age_band][value={age}]").check()
    page.get_by_role("button", name="Save").click()
    expect(page.get_by_role("link", name=name, exact=True)).to_be_visible()


def come_together(page: Page, evening: str) -> None:
    """Read the briefing for oneself and one's child, and take both places at once."""
    page.goto(evening)
    press(page, page.get_by_role("link", name="Take places for all of you"))
    expect(page.locator("select[name^=station]")).to_have_count(3)
    page.get_by_label(re.compile("I've read this, and read it to the children")).check()
    press(page, page.get_by_role("button", name="Take these places"))
    places = page.locator("#your-place").get_by_text(
        re.compile("(have|has) a place at")
    )
    expect(places).to_have_count(2)


def write_health_note(page: Page, home: str, child: str, words: str) -> str:
    """Keep a note on a child; return the address of the page about them."""
    page.goto(home + "people/me/")
    page.get_by_role("link", name=re.compile(f"What {child} can do")).click()
    about = page.url
    page.get_by_role("link", name="Write a note").click()
    page.locator("[name=text]").fill(words)
    page.locator("main input[type=checkbox]").first.check()
    page.get_by_role("button", name="Save the note").click()
    expect(page.get_by_text(words)).to_be_visible()
    return about


def agree_and_take_back(page: Page, about: str) -> None:
    """Agree to photographs of the child, and take it back in one press."""
    page.goto(about)
    page.get_by_role("link", name="Read what agreeing means").click()
    page.locator("main input[type=checkbox]").first.check()
    page.get_by_role("button", name="I agree").click()
    expect(page.get_by_text("agreed", exact=True)).to_be_visible()
    press(page, page.get_by_role("button", name="Take this back"))
    page.goto(about)
    expect(page.get_by_text("Not agreed, so not shown in pictures.")).to_be_visible()


def let_lead(page: Page, evening: str, name: str) -> None:
    page.goto(evening + "edit/")
    page.get_by_text("Lead, first aider, what to bring").click()
    page.locator("[name=lead]").fill(name)
    press(page, page.locator("main form button.act").first)
    expect(page.get_by_role("heading", name="Pulling evening")).to_be_visible()


def count_everybody_out(page: Page, evening: str) -> None:
    """Let two in at the gate; call everybody out; look for the one not seen."""
    page.goto(evening + "gate/")
    for _ in range(2):
        press(page, page.get_by_role("button", name=re.compile("^Came")).first)
    expect(page.get_by_role("heading", name="2 of us here")).to_be_visible()
    page.get_by_role("link", name="Head-count", exact=True).click()
    page.get_by_label("Why").fill("Thunder")
    page.get_by_role("button", name="Everybody out: call them and count").click()
    page.get_by_role("button", name=re.compile("^Seen.*Maeve Orr")).click()
    expect(page.get_by_text("safe 18:4")).to_have_count(1)
    page.get_by_role("button", name="End it").click()
    expect(page.get_by_text("Not seen: Tam Orr").first).to_be_visible()
    page.get_by_role("button", name=re.compile("^Seen.*Tam Orr")).click()
    expect(page.get_by_text("has been seen")).to_be_visible()
    page.get_by_role("button", name="End it").click()
    expect(page.get_by_text("The head-count has ended")).to_be_visible()


def write_down_near_miss(page: Page, home: str) -> str:
    page.goto(home + "safety/incidents/")
    page.get_by_role("link", name="Report an incident").first.click()
    page.locator("[name=kind]").first.check()
    page.locator("[name=place]").fill("The gate")
    page.locator("[name=account]").fill("The gate swung in the wind.")
    page.get_by_role("button", name="Send the report").click()
    expect(page.get_by_text("The gate swung in the wind.")).to_be_visible()
    return page.url


def test_a_household_comes_is_cared_for_and_is_counted_out(open_page):
    """The guardian answers for the child from joining to the head-count."""
    nora = open_page(DESK)
    make_account(nora, "Nora Bell", "nora@example.org")
    home = set_up(nora)
    evening = change_evening(nora, "19:00", "20:30", "5")

    hugh, maeve = open_page(PHONE), open_page(PHONE)
    make_account(hugh, "Hugh Tatt", "hugh@example.org")
    join(hugh, home)
    make_account(maeve, "Maeve Orr", "maeve@example.org")
    join(maeve, home)
    add_child(maeve, home, "Tam Orr", "from_13")
    come_together(maeve, evening)
    about = write_health_note(maeve, home, "Tam Orr", "An inhaler, in the blue bag.")
    agree_and_take_back(maeve, about)

    let_lead(nora, evening, "Hugh Tatt")
    assert hugh.request.get(about).status == 404
    count_everybody_out(hugh, evening)

    incident = write_down_near_miss(maeve, home)
    assert hugh.request.get(incident).status == 404
    assert nora.request.get(incident).status == 200

    held = maeve.request.get(home + "privacy/held/").text()
    assert "Tam Orr" in held
