"""Places of those who have not come: freed at the gate, given back if they come."""

from datetime import timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError

from heritage.gatherings.gate import services
from heritage.gatherings.gate.selectors import gate_page, head_count, turnout_page
from heritage.gatherings.models import GatheringStatus, SignUp, SignUpStatus
from tests.factories import NOW, make_sign_up, make_volunteer
from tests.gatherings.test_gate import HOUR, Evening


class NoShowTests(Evening):
    """Ann holds the only place to pull and has not come, an hour after the start."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.pull = cls.gathering.stations.get()
        cls.pull.title, cls.pull.places = "Pull", 1
        cls.pull.save()

    def free(self, **more):
        return services.free_places(**(self.by_lead() | more))

    def put(self, who):
        return services.put_at(volunteer=who, station=self.pull, **self.by_lead())

    def anns(self):
        return SignUp.objects.get(volunteer=self.ann)

    def test_a_press_frees_the_places_of_those_who_have_not_come(self):
        with pytest.raises(ValidationError, match="Not come yet: Ann Birch"):
            self.put(self.bob)
        with self.captureOnCommitCallbacks(execute=True):
            assert [row.volunteer for row in self.free()] == [self.ann]
        assert self.anns().status == SignUpStatus.NOT_COME
        assert self.put(self.bob).station == self.pull
        assert mail.outbox == []
        assert self.free() == []

    def test_whoever_came_keeps_their_place(self):
        services.arrive(volunteer=self.ann, **self.by_lead())
        services.depart(volunteer=self.ann, **self.by_lead())
        assert self.free() == []

    def test_who_waits_and_is_here_moves_up(self):
        entry = make_sign_up(
            station=self.pull, volunteer=self.bob, status=SignUpStatus.WAITING
        )
        self.free()
        entry.refresh_from_db()
        assert entry.status == SignUpStatus.HELD

    def test_who_comes_later_has_their_place_again_where_there_is_room(self):
        self.free()
        services.arrive(volunteer=self.ann, **self.by_lead())
        assert self.anns().status == SignUpStatus.HELD

    def test_who_comes_later_to_a_full_station_is_here_without_one(self):
        self.free()
        self.put(self.bob)
        services.arrive(volunteer=self.ann, **self.by_lead())
        assert self.anns().status == SignUpStatus.NOT_COME
        (ann,) = [
            one
            for one in gate_page(self.gathering, NOW).here
            if one.volunteer == self.ann
        ]
        assert ann.station == ""
        SignUp.objects.filter(volunteer=self.bob).delete()
        assert self.put(self.ann).pk == self.anns().pk
        assert self.anns().status == SignUpStatus.HELD

    def test_a_time_put_right_to_before_the_start_calls_nobody_from_home(self):
        at_home = make_sign_up(
            station=self.pull,
            volunteer=make_volunteer(demonstration=self.place),
            status=SignUpStatus.WAITING,
        )
        self.free()
        services.record_turnout(
            gathering=self.gathering,
            volunteer=self.ann,
            arrived_at=self.gathering.starts_at - HOUR / 4,
            left_at=None,
            by=self.lead.user,
        )
        at_home.refresh_from_db()
        assert at_home.status == SignUpStatus.WAITING
        assert self.anns().status == SignUpStatus.HELD

    def test_not_before_the_grace_nor_after_the_end_nor_by_others(self):
        early = self.gathering.starts_at + timedelta(minutes=29)
        with pytest.raises(
            ValidationError, match="Places are kept for latecomers until"
        ):
            self.free(now=early)
        with pytest.raises(ValidationError, match="is over"):
            self.free(now=self.gathering.ends_at)
        other = make_volunteer(demonstration=self.place)
        with pytest.raises(ValidationError, match="Only the lead"):
            self.free(by=other.user)
        self.gathering.status = GatheringStatus.CALLED_OFF
        self.gathering.save()
        with pytest.raises(ValidationError, match="This gathering isn't on"):
            self.free()
        assert self.anns().status == SignUpStatus.HELD

    def test_they_are_told_apart_on_every_list(self):
        assert head_count(self.gathering, NOW).expected == 1
        self.free()
        page = gate_page(self.gathering, NOW)
        assert [one.volunteer for one in page.not_come] == [self.ann]
        assert page.expected == ()
        assert head_count(self.gathering, NOW).expected == 0
        rows = turnout_page(self.gathering, NOW).rows
        assert self.ann in [row.volunteer for row in rows]

    def test_the_gate_says_how_many_and_frees_them(self):
        self.client.force_login(self.lead.user)
        page = self.on_page()
        self.assertContains(page, "1 place held")
        answer = self.client.post(self.path("free_places"), follow=True)
        self.assertContains(answer, "1 place is free.")
        self.assertContains(answer, "Not come in time: 1")
        self.assertNotContains(answer, "place held")

    def test_before_the_grace_ends_the_gate_says_until_when(self):
        type(self.gathering).objects.update(starts_at=NOW - HOUR / 4)
        self.client.force_login(self.lead.user)
        page = self.on_page()
        self.assertContains(page, "Places are kept until")
        self.assertNotContains(page, "place held")
        answer = self.client.post(self.path("free_places"), follow=True)
        self.assertContains(answer, "Places are kept for latecomers until")
