"""The few places, what stands under More, and where a volunteer's day begins."""

from datetime import timedelta
from unittest import mock

from django.test import TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.gatherings.models import StationKind
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_machine,
    make_organiser,
    make_sign_up,
    make_station,
    make_user,
    make_volunteer,
)


class PlacesTests(TestCase):
    def setUp(self):
        self.here = make_demonstration(is_public=True)
        self.user = make_user()
        self.client.force_login(self.user)

    def places(self, name="gatherings:list"):
        page = self.client.get(reverse(name, args=[self.here.slug]))
        doors = page.context["doors"]
        return [door.mark for door in doors], [d.mark for d in doors if d.is_current]

    def test_a_visitor_has_four_places(self):
        places, current = self.places()
        assert current == ["visit"]
        assert places == ["visit", "story", "pictures", "sheets"]

    def test_a_volunteer_has_me_where_an_organiser_has_people(self):
        make_volunteer(demonstration=self.here, user=self.user)
        places, current = self.places()
        assert places == ["today", "gatherings", "crop", "me", "more"]
        assert current == ["gatherings"]

    def test_an_organiser_has_five(self):
        make_organiser(demonstration=self.here, user=self.user)
        places, current = self.places("tally:board")
        assert places == ["today", "gatherings", "crop", "people", "more"]
        assert current == ["crop"]

    def test_the_rooms_of_the_crop_say_which_one_this_is(self):
        make_organiser(demonstration=self.here, user=self.user)
        page = self.client.get(reverse("dam:list", args=[self.here.slug]))
        assert [str(d.label) for d in page.context["rooms"] if d.is_current] == ["Dam"]

    def test_what_has_no_place_of_its_own_stands_under_more(self):
        make_volunteer(demonstration=self.here, user=self.user)
        for name in ("desk:safety", "pictures:list", "public:shelf"):
            assert self.places(name)[1] == ["more"]


class MoreTests(TestCase):
    def setUp(self):
        self.here = make_demonstration()
        self.organiser = make_organiser(demonstration=self.here, user=make_user())
        self.client.force_login(self.organiser.user)
        self.url = reverse("desk:more", args=[self.here.slug])
        self.enterContext(mock.patch.object(clock, "now", return_value=NOW))

    def asleep(self):
        page = self.client.get(self.url).context["page"]
        return [str(label) for label, _ in page.asleep]

    def test_what_has_no_use_yet_sleeps(self):
        assert self.asleep() == ["Machines", "How many visitors", "Stewards"]

    def test_it_wakes_with_its_first_machine_and_its_first_open_day(self):
        make_machine(demonstration=self.here)
        afternoon = make_gathering(demonstration=self.here)
        make_station(gathering=afternoon, kind=StationKind.TALK)
        assert self.asleep() == []

    def test_every_link_opens_for_who_is_shown_it(self):
        volunteer = make_volunteer(demonstration=self.here, user=make_user())
        for user in (self.organiser.user, volunteer.user):
            self.client.force_login(user)
            page = self.client.get(self.url).context["page"]
            links = [link for section in page.sections for link in section.links]
            for _, url in [*links, *page.records, *page.asleep]:
                assert self.client.get(url).status_code == 200, url

    def test_a_volunteer_is_not_shown_the_settings(self):
        self.client.force_login(
            make_volunteer(demonstration=self.here, user=make_user()).user
        )
        page = self.client.get(self.url).context["page"]
        assert [str(s.heading) for s in page.sections] == [
            "Safety",
            "Pictures and paper",
        ]


class NextTests(TestCase):
    def setUp(self):
        self.here = make_demonstration()
        self.me = make_volunteer(demonstration=self.here, user=make_user())
        self.client.force_login(self.me.user)
        self.url = reverse("desk:today", args=[self.here.slug])
        self.enterContext(mock.patch.object(clock, "now", return_value=NOW))

    def test_without_a_gathering_today_is_the_list(self):
        assert self.client.get(self.url).url == reverse(
            "gatherings:list", args=[self.here.slug]
        )

    def test_today_is_ones_own_next_gathering_before_any_other(self):
        first = make_gathering(demonstration=self.here)
        assert self.client.get(self.url).url == first.get_absolute_url()
        week = timedelta(days=7)
        later = make_gathering(
            demonstration=self.here,
            starts_at=first.starts_at + week,
            ends_at=first.ends_at + week,
        )
        make_sign_up(station=make_station(gathering=later), volunteer=self.me)
        assert self.client.get(self.url).url == later.get_absolute_url()
