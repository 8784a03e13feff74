"""The frame of every page: label, places, foot, theme, error pages and built fonts."""

import re
from types import SimpleNamespace

import pytest
from django.contrib.auth.models import AnonymousUser
from django.contrib.staticfiles import finders
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.template.loader import render_to_string
from django.test import RequestFactory

from heritage.common import stylesheet
from heritage.common.templatetags import look
from heritage.common.trimming import TrimmingMiddleware
from heritage.desk.request import PLACES, Door

pytestmark = pytest.mark.urls("tests.common.look_urls")


def ask(path: str = "/", **cookies: str) -> HttpRequest:
    request = RequestFactory().get(path)
    request.COOKIES.update(cookies)
    request.user = AnonymousUser()
    return request


def page(source: str, request: HttpRequest | None = None, **context: object) -> str:
    template = engines["django"].from_string('{% extends "base.html" %}' + source)
    return template.render(context, request or ask())


@pytest.mark.parametrize("theme", ["day", "dusk"])
def test_a_chosen_theme_is_on_the_page(theme: str) -> None:
    html = page("", ask(theme=theme))
    assert f'<html lang="en-GB" data-theme="{theme}">' in html
    assert f'value="{theme}" aria-pressed="true"' in html


@pytest.mark.parametrize("cookies", [{}, {"theme": '"><script>'}])
def test_without_a_known_choice_the_device_decides(cookies: dict[str, str]) -> None:
    html = page("", ask(**cookies))
    assert '<html lang="en-GB">' in html
    assert 'value="auto" aria-pressed="true"' in html


def test_the_theme_choice_comes_back_to_the_same_page() -> None:
    assert 'name="next" value="/somewhere?page=2"' in page("", ask("/somewhere?page=2"))


def test_places_and_rooms_say_which_one_this_is() -> None:
    places = [
        Door("Today", "/today/", False, "today"),
        Door("Crop", "/crop/", True, "crop"),
    ]
    rooms = [Door("Tally", "/tally/", False), Door("Dam", "/dam/", True)]
    html = page("", doors=places, rooms=rooms)
    assert '<a href="/crop/" aria-current="page">' in html
    assert '<a href="/today/">' in html
    assert '<a href="/dam/" aria-current="page">Dam</a>' in html
    assert '<a href="/tally/">Tally</a>' in html


def test_every_place_has_its_mark_beside_its_word() -> None:
    for place in PLACES:
        html = render_to_string("_place_mark.html", {"mark": place.mark})
        assert 'aria-hidden="true"' in html
        assert "<path" in html, place.mark


def test_without_places_there_is_no_empty_navigation() -> None:
    assert "<nav" not in page("")


def test_the_title_warns_of_errors() -> None:
    html = page(
        "{% block title %}Post{% endblock %}", form=SimpleNamespace(errors={"a": ["b"]})
    )
    assert "<title>Please check: Post" in html


def test_a_demonstration_names_itself() -> None:
    standing = SimpleNamespace(
        demonstration=SimpleNamespace(name="Carrowlint flax", slug="carrowlint")
    )
    html = page("", standing=standing)
    assert "Carrowlint flax" in html


@pytest.mark.parametrize("name", ["400", "403", "403_csrf", "404", "500"])
def test_error_pages_stand_alone(name: str) -> None:
    """Django renders some of them with no request and no context at all."""
    html = render_to_string(f"{name}.html")
    assert html.count("<h1>") == 1
    assert 'href="/"' in html or name == "403_csrf"


def test_pages_keep_the_other_questions() -> None:
    pages = Paginator(list(range(30)), 10)
    request = ask("/tally/?plot=3&page=2")
    html = render_to_string("_pages.html", {"page": pages.page(2)}, request)
    assert "plot=3&amp;page=1" in html
    assert "plot=3&amp;page=3" in html


def test_one_page_needs_no_pager() -> None:
    pages = Paginator([1], 10)
    assert render_to_string("_pages.html", {"page": pages.page(1)}).strip() == ""


@pytest.mark.parametrize(
    ("mark", "words"),
    [
        ("warning", "Danger: Deep water"),
        ("prohibition", "<strong>Deep water</strong>"),
        ("mandatory", "<strong>Deep water</strong>"),
        ("safe", "For your safety: Deep water"),
        ("fire", "Fire: Deep water"),
    ],
)
def test_a_mark_never_stands_without_words(mark: str, words: str) -> None:
    html = render_to_string("_caution.html", {"mark": mark, "heading": "Deep water"})
    assert words in html
    assert html.count("<svg") == 1
    assert 'aria-hidden="true"' in html


def test_a_page_asks_at_once_for_the_letters_that_are_there(monkeypatch) -> None:
    monkeypatch.setattr(look.finders, "find", lambda name: None)
    assert look.faces() == []
    monkeypatch.setattr(look.finders, "find", lambda name: f"/{name}")
    assert [face.split("/")[-1] for face in look.faces()] == [
        "bitter-700.woff2",
        "fira-sans-400.woff2",
        "fira-sans-600.woff2",
    ]


def test_a_page_has_no_blanks_at_the_ends_of_lines_but_in_what_was_typed() -> None:
    typed = "<textarea>\nline  \n\n\nnext \n</textarea>"
    html = HttpResponse(f"<p>one  \n \n\t\ntwo</p> \n{typed}  \n")
    trimmed = TrimmingMiddleware(lambda request: html)(ask())
    assert trimmed.content.decode() == f"<p>one\ntwo</p>\n{typed}\n"
    table = HttpResponse("a,b  \n\n", content_type="text/csv")
    assert TrimmingMiddleware(lambda request: table)(ask()).content == b"a,b  \n\n"


def test_a_page_comes_packed(client) -> None:
    """To a phone with a weak signal a quarter of a page is a quarter of the wait."""
    response = client.get("/specimen/", headers={"accept-encoding": "gzip"})
    assert response["Content-Encoding"] == "gzip"


def test_a_number_stays_on_one_line() -> None:
    assert look.unbroken("028 9649 6142") == "028\xa09649\xa06142"


def test_every_style_comes_as_one_sheet_to_keep(client) -> None:
    """In order, with each address told from the root, and another once it changes."""
    response = client.get(look.styles())
    css = response.content.decode()
    assert response["Content-Type"] == "text/css"
    assert "immutable" in response["Cache-Control"]
    assert css.index("--paper:") < css.index(".skip") < css.index("@media print")
    told = re.findall(r'url\("([^"]+)"\)', css)
    assert told
    for address in told:
        assert address.startswith("/static/look/")
        assert finders.find(address.removeprefix("/static/")), address
    sheets = {path.stem for path in (stylesheet.STATIC / "look").glob("*.css")}
    assert sheets == {*stylesheet.SHEETS} - {"fonts/fonts"}, "no sheet is left out"
    assert css.count("{") == css.count("}")
