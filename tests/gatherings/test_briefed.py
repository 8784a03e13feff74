"""The lead's list of who has heard their station's briefing, and who is left."""

from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.gatherings.asked import selectors
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_gathering,
    make_sign_up,
    make_station,
    make_turnout,
    make_volunteer,
)


class BriefedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place}
        cls.lead = make_volunteer(name="Lea Down", **here)
        cls.ann = make_volunteer(name="Ann Rush", **here)
        cls.bob = make_volunteer(name="Bob Hill", **here)
        cls.cat = make_volunteer(name="Cat Burn", **here)
        cls.evening = make_gathering(
            lead=cls.lead, starts_at=NOW, ends_at=NOW.replace(year=2100), **here
        )
        cls.briefing = make_briefing(title="At the dam", **here)
        cls.old = make_briefing_version(briefing=cls.briefing)
        cls.version = make_briefing_version(briefing=cls.briefing)
        cls.tread = make_station(gathering=cls.evening, briefing=cls.briefing)
        make_station(gathering=cls.evening)
        for person in (cls.ann, cls.bob):
            make_sign_up(station=cls.tread, volunteer=person)
        make_acknowledgement(version=cls.version, volunteer=cls.ann)
        make_acknowledgement(version=cls.old, volunteer=cls.bob)
        make_turnout(gathering=cls.evening, volunteer=cls.cat)

    def url(self):
        return reverse("gatherings:briefed", args=[self.place.slug, self.evening.pk])

    def test_who_heard_who_is_left_and_who_came_without_a_place(self):
        page = selectors.briefed_page(self.evening)
        [told] = page.told
        assert told.version == self.version
        assert told.heard == (self.ann,)
        assert [(one.volunteer, one.is_again) for one in told.left] == [
            (self.bob, True)
        ]
        assert page.left == 1
        assert [(one.volunteer, one.missing) for one in page.unplaced] == [
            (self.cat, (self.briefing,))
        ]

    def test_it_costs_the_same_for_few_and_for_many(self):
        for more in (0, 10):
            for _ in range(more):
                make_sign_up(
                    station=self.tread,
                    volunteer=make_volunteer(demonstration=self.place),
                )
            with self.assertNumQueries(7):
                page = selectors.briefed_page(self.evening)
                assert [str(one.volunteer) for one in page.told[0].left]
        assert page.left == 11

    def test_the_lead_ticks_off_who_is_left_and_comes_back(self):
        self.client.force_login(self.lead.user)
        page = self.client.get(self.url())
        self.assertContains(page, "to hear again")
        self.assertContains(page, "Came without a place")
        tick = reverse("briefings:tick_off", args=[self.place.slug, self.briefing.pk])
        data = {"people": [self.bob.pk], "version": self.version.pk, "how": "paper"}
        before = clock.now()
        back = self.client.post(tick, data | {"next": self.url()})
        self.assertRedirects(back, self.url())
        heard = self.version.acknowledgements.get(volunteer=self.bob)
        assert (heard.how, heard.recorded_by) == ("paper", self.lead.user)
        assert before <= heard.heard_at <= clock.now()
        self.assertContains(self.client.get(self.url()), "all have heard it")

    def test_others_do_not_see_it_and_an_unpublished_one_is_said(self):
        self.client.force_login(self.ann.user)
        assert self.client.get(self.url()).status_code == 404
        self.client.force_login(self.lead.user)
        self.tread.briefing = make_briefing(demonstration=self.place)
        self.tread.save(update_fields=["briefing"])
        self.assertContains(self.client.get(self.url()), "Nobody can have heard it")
        self.tread.briefing = None
        self.tread.save(update_fields=["briefing"])
        self.assertContains(self.client.get(self.url()), "asks for a briefing")
