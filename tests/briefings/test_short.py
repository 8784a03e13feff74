"""A briefing's short form: part of the version, and what was heard says which."""

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase
from django.urls import reverse

from heritage.briefings import services
from heritage.briefings.selectors import short_of
from tests.factories import NOW, make_demonstration, make_organiser, make_volunteer

LONGEST_AT_A_GATE = 250


class ShortFormTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place)
        cls.ann = make_volunteer(demonstration=cls.place)
        loaded = services.load_starting_briefings(
            demonstration=cls.place, in_charge="Nora", user=cls.nora.user, now=NOW
        )
        cls.briefing = loaded[0]
        cls.version = cls.briefing.versions.get()

    def hear(self, version=None, **said):
        return services.acknowledge(
            version=version or self.version,
            volunteer=self.ann,
            by=self.ann.user,
            now=NOW,
            **said,
        )

    def shorten(self, words):
        services.keep_briefing(
            briefing=self.briefing,
            values={"short": words},
            hazards=self.briefing.hazards.all(),
        )
        return services.publish(briefing=self.briefing, user=self.nora.user, now=NOW)

    def test_each_starting_briefing_has_a_dozen_lines_for_a_gate(self):
        for row in self.place.briefings.all():
            lines = short_of(row.versions.get().content)
            assert len(lines) == 12
            assert len(" ".join(lines).split()) <= LONGEST_AT_A_GATE

    def test_what_was_heard_says_which_form(self):
        assert self.hear(in_short=True).in_short

    def test_a_change_to_the_short_form_alone_is_a_new_version_to_hear(self):
        self.hear()
        newer = self.shorten("Stand still at STOP.")
        assert newer.number == 2
        assert not self.ann.acknowledgements.holding().exists()

    def test_nobody_hears_a_short_form_that_is_not_there(self):
        with pytest.raises(ValidationError, match="has no short form"):
            self.hear(self.shorten(""), in_short=True)

    def test_the_page_is_short_and_the_whole_is_one_press_away(self):
        self.client.force_login(self.ann.user)
        url = reverse("briefings:briefing", args=[self.place.slug, self.briefing.pk])
        self.assertContains(self.client.get(url), 'name="in_short"')
        whole = self.client.get(url, {"whole": "1"})
        self.assertNotContains(whole, 'name="in_short"')
        self.assertContains(whole, "What can hurt you")
        confirm = reverse(
            "briefings:acknowledge", args=[self.place.slug, self.version.pk]
        )
        self.client.post(confirm, {"in_short": "1"})
        assert self.ann.acknowledgements.get().in_short
