"""One evening with its people, for the tests of pages, letters and sheets."""

from datetime import timedelta
from unittest import mock

from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.gatherings.models import SignUpStatus
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_volunteer,
)


class EveningCase(TestCase):
    """Nora organises, Liam leads, Ann has the place, Bob waits, Cat looks on."""

    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration(name="Flax at Lintholm")
        here = {"demonstration": cls.demonstration}
        cls.nora = make_organiser(**here, name="Nora Bell", phone="028 555 0101")
        cls.liam = make_volunteer(**here, name="Liam Orr")
        cls.ann = make_volunteer(**here, name="Ann Rush", phone="028 555 0102")
        cls.bob = make_volunteer(**here, name="Bob Carr")
        cls.cat = make_volunteer(**here, name="Cat Dow")
        cls.torin = make_volunteer(
            **here,
            name="Torin Rush",
            user=None,
            guardian=cls.ann,
            age_band=AgeBand.FROM_13,
        )
        cls.gathering = make_gathering(
            **here, title="Pulling by the lane", lead=cls.liam, bring="Gloves"
        )
        cls.briefing = make_briefing(**here, title="Pulling by hand")
        make_briefing_version(briefing=cls.briefing)
        cls.pull = make_station(gathering=cls.gathering, title="Pull", places=1)
        cls.tie = make_station(
            gathering=cls.gathering, title="Tie", kind="tie", briefing=cls.briefing
        )
        cls.held = make_sign_up(station=cls.pull, volunteer=cls.ann)
        cls.turn = make_sign_up(
            station=cls.pull,
            volunteer=cls.bob,
            status=SignUpStatus.WAITING,
            asked_at=NOW + timedelta(minutes=1),
        )

    def setUp(self):
        self.at(NOW)

    def at(self, moment):
        """Set the site's clock for the rest of the test."""
        patched = mock.patch.object(clock, "now", return_value=moment)
        patched.start()
        self.addCleanup(patched.stop)

    def url(self, view, *args):
        return reverse(f"gatherings:{view}", args=[self.demonstration.slug, *args])

    def page(self, view, *args, by=None, data=None):
        """Open a page as somebody, or as a visitor."""
        self.be(by)
        return self.client.get(self.url(view, *args), data)

    def send(self, view, *args, by=None, **data):
        self.be(by)
        return self.client.post(self.url(view, *args), data, follow=True)

    def be(self, person):
        self.client.logout()
        if person is not None:
            self.client.force_login(person.user)
