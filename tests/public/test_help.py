"""Help where it is needed: guides, hints put away for good, and the trade's words."""

import re

import pytest
from django.template import Context, Template
from django.test import TestCase
from django.urls import reverse
from django.utils.html import strip_tags

from heritage.public.words import GUIDES, HINTS
from heritage.season.glossary.words import MEANINGS
from tests.factories import make_organiser, make_volunteer

LONGEST_GUIDE = 350
# Where cautions stand at the top, nothing pushes them down.
OF_SAFETY = {"briefings", "machines", "incidents", "grounds", "dam", "fieldlog"}


@pytest.mark.any_database
class GuideTests(TestCase):
    def test_each_guide_is_one_short_page_that_anybody_may_read(self):
        for who in GUIDES:
            html = self.client.get(reverse("public:guide", args=[who])).content.decode()
            main = html[html.index("<main") : html.index("</main>")]
            assert len(strip_tags(main).split()) <= LONGEST_GUIDE, who
        assert self.client.get("/help/shepherd/").status_code == 404

    def test_they_are_linked_from_help_from_more_and_from_me(self):
        organiser = make_organiser()
        slug = organiser.demonstration.slug
        volunteer = make_volunteer(demonstration=organiser.demonstration)
        for who, user, path in (
            ("volunteer", None, "/help/"),
            ("lead", None, "/help/"),
            ("organiser", organiser.user, reverse("desk:more", args=[slug])),
            ("volunteer", volunteer.user, reverse("people:me", args=[slug])),
        ):
            self.client.logout()
            if user:
                self.client.force_login(user)
            assert f'href="/help/{who}/"' in self.client.get(path).content.decode()

    def test_the_words_of_the_trade_stand_on_one_page(self):
        html = self.client.get(reverse("public:glossary")).content.decode()
        for code in MEANINGS:
            assert f'id="word-{code}"' in html


class HintTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.me = make_volunteer()
        cls.page = reverse("tally:board", args=[cls.me.demonstration.slug])

    def put_away(self, **fields):
        sent = {"page": "tally:board", "next": self.page, **fields}
        return self.client.post(reverse("public:put_hint_away"), sent)

    def test_a_hint_is_put_away_by_one_press_and_for_good(self):
        self.client.force_login(self.me.user)
        assert 'class="hint"' in self.client.get(self.page).content.decode()
        assert self.put_away().url == self.page
        self.put_away()
        self.me.user.refresh_from_db()
        assert self.me.user.hints_read == ["tally:board"]
        assert 'class="hint"' not in self.client.get(self.page).content.decode()

    def test_other_pages_keep_theirs_and_a_strange_one_is_not_kept(self):
        self.client.force_login(self.me.user)
        response = self.put_away(page="no:page", next="https://elsewhere.example/")
        assert response.url == reverse("public:help")
        self.me.user.refresh_from_db()
        assert self.me.user.hints_read == []

    def test_a_visitor_sees_none_and_is_sent_to_sign_in(self):
        self.me.demonstration.is_public = True
        self.me.demonstration.save()
        assert 'class="hint"' not in self.client.get(self.page).content.decode()
        assert "/account/login/" in self.put_away().url

    def test_a_hint_names_a_page_that_is_there_and_none_of_safety(self):
        for page in HINTS:
            assert page.partition(":")[0] not in OF_SAFETY
            reverse(page, args=["a-place"])


@pytest.mark.parametrize("code", MEANINGS)
def test_a_word_opens_what_it_means_without_a_script(code):
    html = Template("{% load glossary %}{% word code %}").render(
        Context({"code": code})
    )
    (target,) = re.findall(r'popovertarget="([\w-]+)"', html)
    assert f'id="{target}" popover>{MEANINGS[code][1]}' in html.replace("&#x27;", "'")


def test_the_first_word_of_a_text_opens_what_it_means():
    shown = Template('{% load glossary %}{{ text|explained:"beet,dam" }}').render(
        Context({"text": "<b>Two beets</b> go to the dam."})
    )
    assert shown.startswith("&lt;b&gt;Two <button")
    assert (shown.count("popovertarget"), shown.count(">beets</button>")) == (1, 1)
