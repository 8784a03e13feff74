"""The same in the forms that machines read: schema.org, Atom, sitemaps, robots."""

import json
from collections.abc import Iterable
from typing import Any
from urllib.parse import urlsplit

from django.conf import settings
from django.contrib.sitemaps import Sitemap
from django.urls import reverse
from django.utils.feedgenerator import Atom1Feed
from django.utils.safestring import SafeString, mark_safe

from heritage.gatherings.selectors import GatheringLine
from heritage.public.selectors import Front
from heritage.public.telling.selectors import Address, News, card_of
from heritage.season.models import Demonstration

SCHEMA = "https://schema.org"
# What could end the element that the words stand in.
UNSAFE = {ord(sign): f"\\u{ord(sign):04x}" for sign in "<>&\u2028\u2029"}


def events(
    demonstration: Demonstration, lines: Iterable[GatheringLine], image: str
) -> SafeString:
    """Return the gatherings as schema.org events, safe to stand in a page."""
    graph = [_event(demonstration, line, image) for line in lines]
    told = json.dumps({"@context": SCHEMA, "@graph": graph}, ensure_ascii=False)
    # Nothing that could end the element is left in it.
    return mark_safe(told.translate(UNSAFE))  # noqa: S308


def _event(
    demonstration: Demonstration, line: GatheringLine, image: str
) -> dict[str, Any]:
    row, zone = line.gathering, demonstration.zone
    told: dict[str, Any] = {
        "@type": "Event",
        "name": row.title,
        "startDate": row.starts_at.astimezone(zone).isoformat(),
        "endDate": row.ends_at.astimezone(zone).isoformat(),
        "eventStatus": f"{SCHEMA}/{_status(line)}",
        "eventAttendanceMode": f"{SCHEMA}/OfflineEventAttendanceMode",
        "url": whole(row.get_absolute_url()),
        "image": image,
        "location": {
            "@type": "Place",
            "name": row.place,
            "address": demonstration.place_name,
            "geo": {
                "@type": "GeoCoordinates",
                "latitude": float(demonstration.latitude),
                "longitude": float(demonstration.longitude),
            },
        },
        "organizer": {
            "@type": "Organization",
            "name": demonstration.name,
            "url": whole(demonstration.get_absolute_url()),
        },
    }
    if row.moved_from:
        told["previousStartDate"] = row.moved_from.astimezone(zone).isoformat()
    return told


def _status(line: GatheringLine) -> str:
    if line.gathering.is_called_off:
        return "EventCancelled"
    return "EventRescheduled" if line.gathering.moved_from else "EventScheduled"


def whole(path: str) -> str:
    """Return an address as the outside world writes it."""
    return f"{settings.SITE_ADDRESS}{path}"


def card_address(page: Front) -> str:
    """Return the address of the card, another whenever the card changes."""
    path = reverse("public:card", args=[page.demonstration.slug])
    return whole(f"{path}?v={card_of(page).version}")


def atom(demonstration: Demonstration, rows: Iterable[News]) -> bytes:
    """Return the news as an Atom feed (RFC 4287)."""
    home = whole(demonstration.get_absolute_url())
    feed = Atom1Feed(
        title=demonstration.name,
        link=home,
        description=demonstration.place_name,
        language="en-GB",
        author_name=demonstration.name,
        feed_url=whole(reverse("public:news", args=[demonstration.slug])),
        feed_guid=home,
    )
    for one in rows:
        feed.add_item(
            title=one.title,
            link=whole(one.path),
            description=one.says,
            unique_id=_tag(one.key),
            updateddate=one.at,
        )
    return feed.writeString("utf-8").encode()


def _tag(key: str) -> str:
    """Name a piece of news for good, whatever its address becomes (RFC 4151)."""
    return f"tag:{urlsplit(settings.SITE_ADDRESS).hostname},2026:{key}"


class Pages(Sitemap[Address]):
    """The pages that strangers may read, under the address they know."""

    def __init__(self, rows: list[Address]) -> None:
        self.rows = rows

    def items(self) -> list[Address]:
        return self.rows

    def location(self, item: Address) -> str:
        return item.path

    def lastmod(self, item: Address) -> Any:
        return item.changed

    def get_domain(self, site: Any = None) -> str:
        return str(urlsplit(settings.SITE_ADDRESS).netloc)

    def get_protocol(self, protocol: str | None = None) -> str:
        return str(urlsplit(settings.SITE_ADDRESS).scheme)


def robots() -> str:
    """Ask machines to leave the doors alone, and show them the pages."""
    return "\n".join(
        (
            "User-agent: *",
            "Disallow: /account/",
            "Disallow: /new/",
            f"Sitemap: {whole(reverse('public:sitemap'))}",
            "",
        )
    )
