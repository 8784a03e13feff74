"""What machines are told, read by parsers that nobody here wrote."""

import json
from datetime import datetime, timedelta
from html.parser import HTMLParser
from io import BytesIO
from itertools import pairwise

import pytest
from defusedxml import ElementTree
from django.test import TestCase, override_settings
from django.urls import reverse
from PIL import Image

from heritage.gatherings.models import GatheringStatus
from heritage.season.models import Stage
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_plot,
    make_sign_up,
    make_station,
    make_volunteer,
)

pytestmark = pytest.mark.any_database

HOME = "https://carrowlint.example"
ATOM = "{http://www.w3.org/2005/Atom}"
MAP = "{http://www.sitemaps.org/schemas/sitemap/0.9}"


class Head(HTMLParser):
    """Collects what a page says of itself."""

    def __init__(self, response):
        super().__init__()
        self.meta, self.links, self.data, self.reads = {}, {}, [], False
        self.feed(response.content.decode())

    def handle_starttag(self, tag, attributes):
        found = dict(attributes)
        if tag == "meta":
            name = found.get("name") or found.get("property")
            self.meta[name] = found.get("content")
        if tag == "link":
            self.links[found["rel"]] = found["href"]
        self.reads = found.get("type") == "application/ld+json"

    def handle_endtag(self, tag):
        self.reads = False

    def handle_data(self, data):
        if self.reads:
            self.data.append(json.loads(data))


@override_settings(CLOCK_STARTS_AT=NOW.isoformat(), SITE_ADDRESS=HOME)
class TellingCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(name="Carrowlint flax", slug="carrowlint")
        cls.shut = make_demonstration(name="Shut", slug="shut", is_public=False)
        cls.place.stage_records.create(stage="pulling", started_on="2026-08-03")
        cls.evening = make_gathering(demonstration=cls.place, title="Pulling </script>")
        secret = make_volunteer(demonstration=cls.place, name="Wilma Secret")
        make_sign_up(station=make_station(gathering=cls.evening), volunteer=secret)

    def get(self, name, *args):
        return self.client.get(reverse(f"public:{name}", args=args))


class PageTests(TellingCase):
    def test_every_page_says_what_it_is_and_where(self):
        pages = [("demonstration", "carrowlint"), ("story", "carrowlint")]
        pages += [("stage", "carrowlint", stage.value) for stage in Stage]
        for name, *args in pages:
            head = Head(self.get(name, *args))
            address = HOME + reverse(f"public:{name}", args=args)
            assert head.links["canonical"] == head.meta["og:url"] == address
            assert head.meta["description"] == head.meta["og:description"]
            assert 20 <= len(head.meta["description"]) <= 200
            assert head.meta["og:image"].startswith(f"{HOME}/at/carrowlint/card.png")

    def test_a_link_to_an_evening_says_when_and_where(self):
        head = Head(self.client.get(self.evening.get_absolute_url()))
        assert head.meta["og:title"] == "Pulling </script>"
        assert head.meta["description"].startswith("Thursday 13 August, 18:30. ")
        assert head.links["canonical"] == HOME + self.evening.get_absolute_url()

    def test_pages_of_no_demonstration_are_described_too(self):
        for path in ("/", "/cautions/", "/help/"):
            assert len(Head(self.client.get(path)).meta["description"]) > 40

    def test_a_gathering_is_an_event_of_schema_org(self):
        (told,) = Head(self.get("demonstration", "carrowlint")).data
        (event,) = told["@graph"]
        assert told["@context"] == "https://schema.org"
        assert event["@type"] == "Event"
        assert event["name"] == "Pulling </script>"
        assert datetime.fromisoformat(event["startDate"]) == self.evening.starts_at
        assert event["startDate"].endswith("+01:00"), "in the place's own time"
        assert event["location"]["geo"]["latitude"] == 54.6
        assert event["eventStatus"] == "https://schema.org/EventScheduled"
        self.evening.status = GatheringStatus.CALLED_OFF
        self.evening.save(update_fields=["status"])
        (told,) = Head(self.get("demonstration", "carrowlint")).data
        assert told["@graph"][0]["eventStatus"] == "https://schema.org/EventCancelled"

    def test_the_policy_lets_data_be_and_no_words_end_it(self):
        response = self.get("demonstration", "carrowlint")
        assert "script-src 'self'" in response["Content-Security-Policy"]
        assert "Pulling </script>" not in response.content.decode()

    def test_headings_go_down_by_one_and_pictures_have_their_room(self):
        for name, *args in (("demonstration",), ("story",), ("stage", "pulling")):
            text = self.get(name, "carrowlint", *args).content.decode()
            levels = [
                int(part[0]) for part in text.split("<h")[1:] if part[0].isdigit()
            ]
            assert levels[0] == 1
            assert all(b - a <= 1 for a, b in pairwise(levels))
            for image in text.split("<img")[1:]:
                assert "width=" in image.split(">")[0]
                assert "height=" in image.split(">")[0]


class CardTests(TellingCase):
    def test_the_card_is_a_picture_of_its_size_and_kept_by_what_it_says(self):
        address = Head(self.get("demonstration", "carrowlint")).meta["og:image"]
        response = self.client.get(address.removeprefix(HOME))
        with Image.open(BytesIO(response.content)) as card:
            assert (card.format, card.size) == ("PNG", (1200, 630))
        assert len(response.content) < 120_000
        make_plot(demonstration=self.place, expected_beets=10)
        again = Head(self.get("demonstration", "carrowlint")).meta["og:image"]
        assert again != address

    def test_what_is_closed_has_no_card_and_no_news(self):
        for name in ("card", "news", "story"):
            assert self.get(name, "shut").status_code == 404
        assert self.get("stage", "shut", "pulling").status_code == 404


class FeedTests(TellingCase):
    def read(self):
        response = self.get("news", "carrowlint")
        assert response["Content-Type"] == "application/atom+xml"
        return ElementTree.fromstring(response.content)

    def test_the_news_holds_the_dates_and_what_began(self):
        feed = self.read()
        entries = feed.findall(f"{ATOM}entry")
        titles = [entry.findtext(f"{ATOM}title") for entry in entries]
        assert titles[0] == "Pulling </script>, Thursday 13 August"
        assert titles[1] == "Pulling has begun"
        for row in (feed, *entries):
            assert row.findtext(f"{ATOM}id")
            moment = datetime.fromisoformat(row.findtext(f"{ATOM}updated"))
            assert moment <= NOW + timedelta(days=1)
        assert "Wilma" not in ElementTree.tostring(feed, "unicode")

    def test_a_piece_of_news_keeps_its_name(self):
        def names():
            rows = self.read().iter(f"{ATOM}entry")
            return {entry.findtext(f"{ATOM}id") for entry in rows}

        before = names()
        self.evening.title = "Last evening"
        self.evening.save(update_fields=["title"])
        assert names() == before
        assert all(name.startswith("tag:carrowlint.example,2026:") for name in before)


class AddressTests(TellingCase):
    def test_the_sitemap_holds_what_strangers_may_read_and_each_opens(self):
        make_gathering(demonstration=self.place, status=GatheringStatus.DRAFT)
        with self.assertNumQueries(2):
            tree = ElementTree.fromstring(self.get("sitemap").content)
        found = [place.text for place in tree.iter(f"{MAP}loc")]
        assert len(found) == len(set(found)) == 1 + 3 + len(Stage) + 2 + 1
        assert not [address for address in found if "/shut/" in address]
        for address in found:
            response = self.client.get(address.removeprefix(HOME))
            assert response.status_code == 200, address

    def test_robots_are_shown_the_sitemap(self):
        text = self.get("robots").content.decode()
        assert f"Sitemap: {HOME}/sitemap.xml" in text
