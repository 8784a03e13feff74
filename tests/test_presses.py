"""How many presses the first jobs take, counted in a real browser.

Counted are taps on the site; typing, and opening one's mail, are not. Where a job has a
time too, what is typed is timed at a slow thumb's pace.
"""

import re
from datetime import timedelta
from time import monotonic

import pytest
from django.core import mail
from playwright.sync_api import Locator, Page, expect

from heritage.briefings.services import load_starting_briefings
from tests.factories import (
    NOW,
    make_dam,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_ret,
    make_sign_up,
    make_station,
    make_turnout,
)
from tests.pictures.photographs import photograph
from tests.walking import DESK, PHONE, signed_in

pytestmark = [
    pytest.mark.browser,
    pytest.mark.any_database,
    pytest.mark.django_db(transaction=True),
]


# Our judgement of somebody who seldom types: a letter takes half a second, a press with
# finding the button five seconds, and a code from the mail a whole minute.
A_LETTER_S, A_PRESS_S, A_CODE_S = 0.5, 5, 60


class Taps:
    """A hand that counts what it presses and types, and the pages that it passes."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.presses = 0
        self.letters = 0
        self.began = monotonic()
        self.screens = [page.url]

    def type(self, label: str, answer: str) -> None:
        self.letters += len(answer)
        self.page.get_by_label(label, exact=True).fill(answer)

    def took_s(self) -> float:
        """Return how long somebody slow is at it, the site's own time included."""
        by_hand = self.letters * A_LETTER_S + self.presses * A_PRESS_S + A_CODE_S
        return by_hand + monotonic() - self.began

    def tap(self, control: Locator, *, leads_on: bool = True) -> None:
        self.presses += 1
        if not leads_on:
            control.click()
            return
        with self.page.expect_navigation():
            control.click()
        if self.page.url != self.screens[-1]:
            self.screens.append(self.page.url)

    def button(self, name: str) -> Locator:
        return self.page.get_by_role("button", name=name, exact=True)

    def give_code(self) -> None:
        """Open one's mail and type the code."""
        expect(self.page.get_by_label("Code")).to_be_visible()
        code = re.search(r"\b\d{6}\b", mail.outbox[-1].body).group()
        self.page.get_by_label("Code").fill(code)


def test_an_empty_site_has_a_posted_evening_after_five_answers(open_page):
    """Five presses and five minutes, account included; the rest begins with a start."""
    page = open_page(DESK)
    page.goto("/")
    hand = Taps(page)
    hand.tap(page.get_by_role("link", name="Set up a demonstration"))
    hand.tap(page.get_by_role("link", name="Make an account"))
    hand.type("Your name", "Nora Bell")
    hand.type("E-mail address", "nora@example.org")
    hand.tap(hand.button("Send me a code"))
    hand.give_code()
    hand.tap(page.locator("main form button").first)
    typed = {
        "What is it called?": "Flax at Lintholm",
        "Where is the field?": "Moneymore",
        "Size": "0.5",
        "Day": "2026-08-19",
    }
    for label, answer in typed.items():
        hand.type(label, answer)
    expect(page.get_by_label("Your name")).to_have_value("Nora Bell")
    expect(page.get_by_text("The sun sets there at")).to_be_visible(timeout=20_000)
    hand.tap(hand.button("Post the first evening"))
    expect(page.get_by_role("heading", name="Pulling evening")).to_be_visible()
    expect(page.get_by_text("its first evening is posted")).to_be_visible()
    assert hand.presses == 5
    assert hand.took_s() <= 5 * 60


def test_a_poster_s_code_leads_to_a_place_in_five_presses_and_three_pages(open_page):
    """The evening's page, the code, and one page that joins, briefs and takes it."""
    demonstration = make_demonstration(is_public=True)
    nora = make_organiser(demonstration=demonstration)
    briefing = load_starting_briefings(
        demonstration=demonstration, in_charge="Nora", user=nora.user, now=NOW
    )[0]
    evening = make_gathering(demonstration=demonstration)
    make_station(gathering=evening, briefing=briefing)
    page = open_page(PHONE)
    page.goto(evening.get_absolute_url())
    hand = Taps(page)
    page.get_by_label("Your name").fill("Maeve Orr")
    page.get_by_label("E-mail").fill("maeve@example.org")
    hand.tap(hand.button("Send me a code"))
    hand.give_code()
    hand.tap(page.locator("main form button").first)
    hand.tap(page.get_by_label("I am 18 or over"), leads_on=False)
    expect(page.locator("ol.short li")).to_have_count(12)
    hand.tap(page.get_by_label("I've read this"), leads_on=False)
    assert len(hand.screens) == 3
    hand.tap(hand.button("Take my place"))
    expect(page.get_by_text("You have a place at")).to_be_visible()
    assert page.url.split("#")[0] == hand.screens[0]
    assert hand.presses == 5
    me = demonstration.volunteers.get(name="Maeve Orr")
    assert me.acknowledgements.get().in_short


def an_evening(starts_at, people=3, **fields):
    """Make an evening with some who have places, and its organiser."""
    demonstration = make_demonstration()
    nora = make_organiser(demonstration=demonstration)
    times = {"starts_at": starts_at, "ends_at": starts_at + timedelta(hours=2)}
    evening = make_gathering(demonstration=demonstration, **times, **fields)
    pull = make_station(gathering=evening, places=20)
    crew = [make_sign_up(station=pull).volunteer for _ in range(people)]
    return nora, evening, crew


def test_an_evening_is_called_and_everybody_told_in_two_presses(open_page, live_server):
    """One press from Today decides; a minute later all are told, or by a second."""
    nora, evening, people = an_evening(NOW + timedelta(hours=2))
    people[0].phone, people[0].email, people[0].user = "028 555 0177", "", None
    people[0].save()
    page = signed_in(open_page(PHONE), nora.user, live_server.url)
    page.goto(f"/at/{evening.demonstration.slug}/today/")
    hand = Taps(page)
    page.get_by_label("In your own words").fill("Dry and bright.")
    hand.tap(hand.button("Go ahead"))
    expect(page.get_by_role("link", name="028 555 0177")).to_be_visible()
    expect(page.locator("a[href^='sms:']")).to_have_count(1)
    expect(hand.button("Take it back")).to_be_visible()
    assert mail.outbox == []
    hand.tap(hand.button("Send it now"))
    assert len(mail.outbox) == 2
    assert hand.presses == 2


def test_an_evening_is_closed_in_two_presses_beside_the_counts(open_page, live_server):
    nora, evening, people = an_evening(NOW - timedelta(hours=3), people=14)
    page = signed_in(open_page(PHONE), nora.user, live_server.url)
    page.goto(f"/at/{evening.demonstration.slug}/today/")
    hand = Taps(page)
    hand.tap(page.get_by_role("link", name="Close the evening"))
    for person in people:
        page.get_by_label(f"Beets, {person}").fill("9")
    hand.tap(hand.button("Save and close"))
    expect(page.get_by_role("heading", name="126 beets. Thank you")).to_be_visible()
    assert hand.presses == 2


def test_the_first_beet_takes_two_presses(open_page, live_server):
    nora, evening, people = an_evening(NOW - timedelta(minutes=20))
    for person in people:
        make_turnout(
            gathering=evening,
            volunteer=person,
            arrived_at=evening.starts_at,
            left_at=None,
        )
    page = signed_in(open_page(PHONE), nora.user, live_server.url)
    page.goto(f"/at/{evening.demonstration.slug}/today/")
    hand = Taps(page)
    hand.tap(page.get_by_role("link", name="Add beets"))
    hand.tap(page.get_by_role("button", name=f"+1 {people[0]}"))
    expect(page.get_by_role("heading", name="1 beet, 3 of us here")).to_be_visible()
    assert hand.presses == 2


def test_the_water_s_temperature_takes_at_most_two_presses(open_page, live_server):
    """One from Today, where the figure is typed in place; two from the ret's page."""
    demonstration = make_demonstration()
    nora = make_organiser(demonstration=demonstration)
    ret = make_ret(dam=make_dam(demonstration=demonstration))
    page = signed_in(open_page(PHONE), nora.user, live_server.url)
    page.goto(f"/at/{demonstration.slug}/today/")
    hand = Taps(page)
    page.get_by_label("Water, °C").fill("16.5")
    hand.tap(page.locator("form.in-place button"))
    assert hand.presses == 1
    later = make_ret(dam=make_dam(demonstration=demonstration))
    page.goto(later.get_absolute_url())
    hand = Taps(page)
    hand.tap(page.get_by_role("link", name="Add a reading"))
    page.get_by_label("Water, °C").fill("16.8")
    hand.tap(page.locator("main form button").first)
    assert hand.presses == 2
    assert [str(one.temp_c) for one in ret.readings.all()] == ["16.5"]
    assert [str(one.temp_c) for one in later.readings.all()] == ["16.8"]


def test_ten_photographs_take_four_presses(open_page, live_server, tmp_path):
    """The evening's page, the files, what they share, and ten captions at once."""
    nora, evening, _people = an_evening(NOW - timedelta(hours=3), closed_at=NOW)
    files = [tmp_path / f"{number}.jpg" for number in range(10)]
    for number, file in enumerate(files):
        file.write_bytes(photograph(shade=number * 20))
    page = signed_in(open_page(PHONE), nora.user, live_server.url)
    page.goto(evening.get_absolute_url())
    hand = Taps(page)
    hand.tap(page.get_by_role("link", name="Add pictures"))
    with page.expect_file_chooser() as picker:
        hand.tap(page.get_by_label("Photographs"), leads_on=False)
    picker.value.set_files(files)
    hand.tap(hand.button("Add them"))
    for number in range(10):
        page.get_by_label("Caption").nth(number).fill(f"Beet {number}.")
        page.get_by_label("For somebody who can't see it").nth(number).fill("A beet.")
    hand.tap(hand.button("Save the captions"))
    expect(page.get_by_text("Every picture has its caption")).to_be_visible()
    assert evening.pictures.exclude(alt_text="").count() == 10
    assert hand.presses == 4
