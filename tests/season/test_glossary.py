"""A word of the trade opens what it means where a page first says it."""

import re
from unittest import mock

from django.test import SimpleTestCase, TestCase
from django.urls import reverse

from heritage.season.glossary.words import FORMS, MEANINGS
from heritage.season.templatetags import glossary
from heritage.season.templatetags.glossary import with_words_open
from tests.factories import make_organiser

TAP = re.compile(r'popovertarget="told-(\w+)">(\w+)<')


class WordsOpenTests(SimpleTestCase):
    def taps(self, html):
        return TAP.findall(with_words_open(html))

    def test_each_word_opens_where_it_is_first_said(self):
        html = with_words_open("<p>Stooks of 12 beets. More beets.</p>")
        assert TAP.findall(html) == [("stook", "Stooks"), ("beet", "beets")]
        assert html.count('id="told-beet" popover>') == 1
        assert html.startswith("<p><button")
        assert html.index("More beets.</p>") < html.index('id="told-stook" popover>')

    def test_no_word_opens_in_what_is_pressed_already_or_names_a_thing(self):
        for tag in ("a", "button", "summary", "label", "h1", "h2", "dt", "option"):
            assert self.taps(f"<{tag}>beet</{tag}><p>a beet</p>") == [("beet", "beet")]
            assert self.taps(f'<{tag} title="x">a <b>beet</b></{tag}>') == []

    def test_no_word_opens_in_a_part_that_is_not_read_aloud(self):
        unread = '<div aria-hidden="true"><div>beets</div> beets</div>'
        assert self.taps(unread) == []
        assert self.taps(f"{unread}<p>dam</p>") == [("dam", "dam")]

    def test_it_opens_unfolded_rather_than_folded(self):
        html = with_words_open("<details><p>beet</p></details><p>beets</p>")
        assert TAP.findall(html) == [("beet", "beets")]
        assert self.taps("<details><p>beet</p></details>") == [("beet", "beet")]

    def test_a_word_that_a_template_opens_is_left_to_it(self):
        assert self.taps('<span id="word-beet" popover>…</span><p>beet</p>') == []

    def test_it_is_a_whole_word_and_no_mark_up(self):
        assert self.taps('<p class="dam">beetle, ret-book, damp &amp; damson</p>') == []

    def test_each_form_is_of_a_word_that_has_a_meaning(self):
        assert set(FORMS) <= set(MEANINGS)
        for code in FORMS:
            assert self.taps(f"<p>{str(FORMS[code]).split(', ')[-1]}</p>")


class PageTests(TestCase):
    def test_a_page_says_each_word_with_its_tap(self):
        home = make_organiser().demonstration
        path = reverse("public:stage", args=[home.slug, "stooking"])
        with mock.patch.object(glossary, "with_words_open", with_words_open):
            html = self.client.get(path).content.decode()
        assert {"beet", "stook"} <= {code for code, _said in TAP.findall(html)}
