"""The treading in a real browser, without script: plan, offer, take, withdraw, write.

As in the other walks, nothing is made behind the site's back but the clock, and the
dam's briefing.
"""

import re

import pytest
from django.conf import settings
from playwright.sync_api import Page, expect

from heritage.season.models import Demonstration
from tests.factories import make_briefing_version, make_dam_briefing
from tests.walking import DESK, PHONE, make_account, set_up

pytestmark = [
    pytest.mark.browser,
    pytest.mark.any_database,
    pytest.mark.django_db(transaction=True),
]


BRIEFING = "Work at the dam"


def publish_a_briefing(home: str) -> str:
    """Publish a briefing for the dam; return its address."""
    where = Demonstration.objects.get()
    row = make_dam_briefing(demonstration=where, title=BRIEFING)
    make_briefing_version(briefing=row)
    return f"{home}safety/{row.pk}/"


def hear(page: Page, briefing: str) -> None:
    page.goto(briefing)
    page.get_by_role("button", name="I have read this and will keep to it").click()


def fill_the_dam(page: Page, home: str) -> str:
    """Fill the one dam and plan its treading; return the treading's address."""
    page.goto(home + "dam/")
    page.get_by_role("link", name="The dam", exact=True).click()
    page.goto(page.url + "fill/")
    page.locator("[name=beets]").fill("120")
    page.locator("[name=why_more]").fill("It was pulled before we began.")
    page.get_by_role("button", name="The flax is under water").click()
    page.get_by_role("link", name="Plan the treading").click()
    page.locator("[name=last_day]").fill("2026-08-13")
    page.locator("[name=evening]").fill("22:30")
    page.get_by_role("button", name="Save the plan").click()
    expect(page.get_by_text("The sun sets at").first).to_be_visible()
    words = "Choose the briefing everybody hears first."
    expect(page.get_by_text(words).first).to_be_visible()
    page.get_by_label("Safety briefing to hear first").select_option(BRIEFING)
    page.locator("[name=evening]").fill("15:00")
    page.locator("[name=morning]").fill("09:00")
    page.get_by_role("button", name="Save the plan").click()
    expect(page.get_by_text("The treading is planned.")).to_be_visible()
    return page.url


def come(page: Page, treading: str) -> None:
    """Press the last turn's big button."""
    page.goto(treading)
    page.get_by_role("button", name=re.compile("^I can come")).last.click()
    expect(page.locator(".message-success")).to_contain_text("can come")


def join(page: Page, home: str) -> None:
    page.goto(home + "people/join/")
    page.get_by_label("I am 18 or over").check()
    page.get_by_role("button", name="Join").click()


def test_a_treading_is_planned_offered_taken_and_lost(
    chromium, live_server, monkeypatch
):
    """Two are not enough; three are, one of them on the bank; the watcher withdraws."""
    monkeypatch.setattr(settings, "CLOCK_STARTS_AT", "2026-08-12T18:40:00+01:00")
    made = {"base_url": live_server.url, "java_script_enabled": False}
    desk = chromium.new_context(viewport=DESK, **made)
    phone = chromium.new_context(viewport=PHONE, **made)
    nora, ann = desk.new_page(), phone.new_page()
    ben = chromium.new_context(viewport=PHONE, **made).new_page()
    make_account(nora, "Nora Bell", "nora@example.org")
    home = set_up(nora)
    briefing = publish_a_briefing(home)
    treading = fill_the_dam(nora, home)
    make_account(ann, "Ann Rush", "ann@example.org")
    join(ann, home)
    make_account(ben, "Ben Hay", "ben@example.org")
    join(ben, home)
    ann.goto(treading)
    expect(ann.get_by_text("has not heard the briefing")).to_be_visible()
    expect(ann.get_by_role("button", name=re.compile("^I can come"))).to_have_count(0)
    for who in (ann, nora):
        hear(who, briefing)
        come(who, treading)
    nora.goto(treading)
    nora.get_by_role("link", name="Work out the rota").click()
    expect(nora.get_by_text("It takes 3 people, and 2 could come.")).to_be_visible()
    hear(ben, briefing)
    come(ben, treading)
    nora.reload()
    expect(nora.get_by_text("Ben Hay, Nora Bell; Ann Rush watches")).to_be_visible()
    nora.get_by_role("button", name="Take this rota and tell people").click()
    expect(nora.get_by_text("Rota saved")).to_be_visible()
    ann.goto(treading)
    expect(ann.get_by_text("on the rota", exact=True)).to_be_visible()
    expect(ann.get_by_text("you watch", exact=True)).to_be_visible()
    ann.get_by_role("button", name=re.compile("^I can't come after all")).click()
    expect(ann.locator(".message-success")).to_contain_text("can't come")
    nora.goto(home + "today/")
    gap = nora.locator("main a", has_text="someone to watch from the bank")
    gap = gap.filter(has_not_text="more to tread").first
    nora.goto(gap.get_attribute("href"))
    expect(nora.get_by_text("Cannot come: Ann Rush.")).to_be_visible()
    nora.get_by_role("button", name=re.compile("^Make watcher")).first.click()
    expect(nora.get_by_text("Missing: 1 more to tread.")).to_be_visible()
    desk.close()
    phone.close()
