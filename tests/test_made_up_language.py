"""Pages in a made-up language: a sentence that no translator could reach stays plain.

Every sentence that goes through gettext comes out in ⟦marks⟧. What stands outside them
on a page must be data of the rows, a figure or a unit: anything else is a sentence
that forgot `{% translate %}` or `gettext`, and fails with the page that shows it.
"""

import json
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Any
from zoneinfo import available_timezones

import pytest
from django.apps import apps
from django.db import models
from django.test import Client, TestCase
from django.urls import reverse
from django.utils import translation
from django.utils.translation import trans_real

from heritage.gatherings import selectors as gatherings
from heritage.people.agreements import selectors as agreements
from heritage.people.competences import selectors as competences
from heritage.people.models import Volunteer
from tests.people.test_access import ours, path_to
from tests.people.world import make_world
from tests.responses import finish

MADE_UP = "xx"
# The subjects, by the first part of an address's name, whose every word can be turned
# into another language.
FINISHED = frozenset(
    {
        "archive", "briefings", "common", "dam", "desk", "diary", "fibre", "fieldlog",
        "gatherings", "grounds", "growth", "incidents", "lots", "machines", "people",
        "pictures", "privacy", "public", "tally",
    }
)  # fmt: skip
# What is offered to begin with becomes rows of the organisers' own once it is taken.
OFFERED = [
    json.loads(gatherings.STARTING.read_text()),
    [competence[:2] for competence in competences.STARTING],
    list(agreements.STARTING_WORDS.values()),
]
# Pages of an account, for somebody signed in and for somebody who is not.
OF_AN_ACCOUNT = ("account_email", "account_logout", "account_set_password", "mfa_index")
TO_SIGN_IN = ("account_login", "account_signup", "account_request_login_code")
PLACEHOLDER = re.compile(
    r"(<[^>]*>|%\(\w+\)[-+ #0]*\d*(?:\.\d+)?[a-zA-Z]|%[-+ #0]*\d*(?:\.\d+)?[a-zA-Z%]"
    r"|\{\w*(?:![rsa])?(?::[^{}]*)?\}|&\w+;)"
)
# What leads a page: one sentence, or two short ones, that say how things stand.
LEAD = re.compile(r'<p class="lead">(.*?)</p>', re.S)
HEADING = re.compile(r"<h1[^>]*>(.*?)</h1>", re.S)
TAG = re.compile(r"<[^>]*>")
MOST_WORDS_OF_A_LEAD = 45
# A heading of so many words tells how things stand: “11 people help here”.
A_SENTENCE = 4
WORD = re.compile(r"[^\W\d_]{2,}")
MARKED = re.compile(r"⟦[^⟦⟧]*⟧")
UNITS = {
    "kg", "cm", "mm", "km", "ha", "m²", "m³", "PDF", "CSV", "XLSX", "AED", "HSE", "tel",
}  # fmt: skip
ADDRESS = re.compile(r"https?://\S+")
SAID = ("aria-label", "alt", "placeholder", "title", "data-label")
SILENT = {"script", "style", "textarea"}


class MadeUp(trans_real.DjangoTranslation):
    """A language whose every sentence is the English one in marks."""

    def __init__(self) -> None:
        self._catalog = trans_real.TranslationCatalog()
        self._info: dict[str, str] = {}

    def gettext(self, message: str) -> str:
        return marked(message.rpartition(trans_real.CONTEXT_SEPARATOR)[2])

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)

    def language(self) -> str:
        return MADE_UP

    def to_language(self) -> str:
        return MADE_UP


def marked(message: str) -> str:
    """Mark a sentence, and leave what is put into it outside the marks."""
    parts = PLACEHOLDER.split(message)
    return "".join(
        part if PLACEHOLDER.fullmatch(part) or not WORD.search(part) else f"⟦{part}⟧"
        for part in parts
    )


class Plain(HTMLParser):
    """What a page says between its main part and its end, words and labels alike."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.silent, self.begun = 0, False

    def handle_starttag(self, tag: str, attributes: list[tuple[str, Any]]) -> None:
        self.begun |= tag == "main"
        self.silent += tag in SILENT
        self.said += [
            value or "" for key, value in attributes if self.begun and key in SAID
        ]

    def handle_endtag(self, tag: str) -> None:
        self.silent -= tag in SILENT

    def handle_data(self, data: str) -> None:
        if self.begun and not self.silent:
            self.said.append(data)


def texts_of(value: Any) -> Iterator[str]:
    """Yield every text in a stored value, JSON's leaves among them."""
    if isinstance(value, str):
        yield from (value, *value.splitlines())
    elif isinstance(value, dict):
        for one in value.values():
            yield from texts_of(one)
    elif isinstance(value, list | tuple):
        for one in value:
            yield from texts_of(one)


def leads(html: str) -> bool:
    """Tell whether one sentence, and a short one, leads a page, or is its heading."""
    found = [TAG.sub(" ", one) for one in LEAD.findall(html)]
    words = WORD.findall(" ".join(found))
    if len(found) != 1 or words:
        return len(found) == 1 and len(words) <= MOST_WORDS_OF_A_LEAD
    heading = HEADING.search(html)
    return heading is not None and len(TAG.sub(" ", heading[1]).split()) >= A_SENTENCE


def stored_texts() -> re.Pattern[str]:
    """Find every text that stands in a row, the longest first."""
    found = {name.replace("_", " ") for name in available_timezones()}
    found.update(" ".join(text.split()) for text in texts_of(OFFERED))
    # Who is shown to strangers is shown by their first name.
    found.update(
        name.split()[0] for name in Volunteer.objects.values_list("name", flat=True)
    )
    for model in apps.get_models():
        kinds = (models.CharField, models.TextField, models.JSONField)
        names = [one.attname for one in model._meta.fields if isinstance(one, kinds)]
        for row in model.objects.values_list(*names) if names else []:
            found.update(" ".join(text.split()) for text in texts_of(row))
    texts = sorted((one for one in found if WORD.search(one)), key=len, reverse=True)
    return re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, texts))})(?!\w)", re.I)


def left_plain(html: str, data: re.Pattern[str]) -> list[str]:
    """Return what a page says that is neither marked nor stored in a row."""
    page = Plain()
    page.feed(html)
    plain = []
    for text in page.said:
        rest = " ".join(ADDRESS.sub(" ", MARKED.sub(" ", text)).split())
        if WORD.search(rest) and set(WORD.findall(data.sub(" ", rest))) - UNITS:
            plain.append(" ".join(text.split()))
    return plain


@pytest.mark.any_database
class MadeUpLanguageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.world = make_world()
        cls.data = stored_texts()

    def setUp(self):
        before = dict(trans_real._translations)
        self.addCleanup(trans_real._translations.__setitem__, MADE_UP, None)
        self.addCleanup(before.clear)
        trans_real._translations[MADE_UP] = MadeUp()

    def pages(self) -> Iterator[tuple[str, str]]:
        client, anybody = Client(), Client()
        client.force_login(self.world.users["organiser"])
        for name in OF_AN_ACCOUNT:
            yield name, client.get(reverse(name), follow=True).content.decode()
        for name in TO_SIGN_IN:
            yield name, anybody.get(reverse(name), follow=True).content.decode()
        yield "no such page", client.get("/no-such-page/").content.decode()
        for address in ours():
            space = address.name.partition(":")[0]
            if space in FINISHED:
                response = client.get(path_to(address, self.world))
                content = finish(response)
                kind = response.headers.get("Content-Type", "")
                if response.status_code == 200 and "html" in kind:
                    yield address.name, content.decode()

    def test_the_field_page_hands_its_script_no_plain_word(self):
        client = Client()
        client.force_login(self.world.users["organiser"])
        address = next(one for one in ours() if one.name == "fieldlog:field")
        with translation.override(MADE_UP):
            html = finish(client.get(path_to(address, self.world))).decode()
        told = re.search(r'<script id="log-texts"[^>]*>(.*?)</script>', html, re.S)
        assert told
        assert left_plain(" ".join(json.loads(told[1]).values()), self.data) == []

    def test_every_subject_is_done(self):
        spaces = {address.name.partition(":")[0] for address in ours()} - {""}
        assert spaces == FINISHED

    def test_no_word_of_a_finished_page_stays_plain(self):
        """In a made-up language, a page says nothing but marks and data.

        And one sentence leads each page, or its heading is one.
        """
        with translation.override(MADE_UP):
            pages = dict(self.pages())
        assert pages, "no page was read"
        plain = {name: left_plain(html, self.data) for name, html in pages.items()}
        unled = [
            name
            for name, html in pages.items()
            if name.partition(":")[0] in FINISHED and not leads(html)
        ]
        assert not unled, unled
        lines = [f"{name}: {text}" for name, texts in plain.items() for text in texts]
        assert not lines, "\n".join(["left plain:", *lines])
