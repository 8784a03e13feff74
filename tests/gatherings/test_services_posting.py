"""Posting, changing and throwing away."""

from datetime import timedelta

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.gatherings import services
from heritage.gatherings.ground.selectors import was
from heritage.gatherings.models import Gathering, GatheringStatus, SignUpStatus
from heritage.gatherings.services import StationPlan
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_briefing,
    make_demonstration,
    make_gathering,
    make_plot,
    make_sign_up,
    make_station,
    make_volunteer,
)

START = NOW + timedelta(days=2)


def details(**changes):
    return {
        "title": "Pulling by the lane",
        "stage": "pulling",
        "plot": None,
        "place": "The top gate",
        "starts_at": START,
        "ends_at": START + timedelta(hours=2),
        "bring": "Gloves",
        "note": "",
        "lead": None,
    } | changes


def plan(**changes):
    return StationPlan(**({"kind": "pull", "title": "Pull", "places": 3} | changes))


class PostTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()

    def post(self, *stations, as_draft=False, **changes):
        return services.post(
            demonstration=self.demonstration,
            details=details(**changes),
            stations=stations or [plan(), plan(kind="tie", title="Tie")],
            now=NOW,
            as_draft=as_draft,
        )

    def test_it_stands_with_its_stations(self):
        made = self.post()
        assert made.status == GatheringStatus.POSTED
        assert [row.title for row in made.stations.in_order()] == ["Pull", "Tie"]
        assert (made.sequence, made.revised_at) == (0, NOW)

    def test_a_draft_may_lie_in_the_past(self):
        past = {"starts_at": NOW - timedelta(days=1), "ends_at": NOW}
        assert self.post(as_draft=True, **past).is_draft

    def test_nothing_is_posted_into_the_past(self):
        with pytest.raises(ValidationError, match="That time has passed"):
            self.post(starts_at=NOW, ends_at=NOW + timedelta(hours=1))

    def test_it_ends_after_it_starts(self):
        with pytest.raises(ValidationError, match="The end is before the start"):
            self.post(ends_at=START)

    def test_it_needs_a_station(self):
        with pytest.raises(ValidationError, match="at least one station"):
            services.post(
                demonstration=self.demonstration,
                details=details(),
                stations=[],
                now=NOW,
            )

    def test_stations_have_names_of_their_own_whatever_the_case(self):
        with pytest.raises(ValidationError, match="Two stations have the same name"):
            self.post(plan(), plan(title="PULL"))

    def test_a_refusal_leaves_nothing_behind(self):
        with pytest.raises(ValidationError, match=r"Enter 1 or more"):
            self.post(plan(), plan(title="Tie", places=0))
        assert not Gathering.objects.exists()

    def test_a_plot_of_another_place_is_refused(self):
        with pytest.raises(ValidationError, match="Choose one from the list"):
            self.post(plot=make_plot())

    def test_a_briefing_of_another_place_is_refused(self):
        with pytest.raises(ValidationError, match="Choose a briefing from the list"):
            self.post(plan(briefing=make_briefing()))

    def test_a_station_of_another_gathering_is_refused(self):
        with pytest.raises(ValidationError, match="another gathering"):
            self.post(plan(station=make_station()))

    def test_the_lead_is_an_adult_who_is_here(self):
        guardian = make_volunteer(demonstration=self.demonstration)
        child = make_volunteer(
            demonstration=self.demonstration,
            user=None,
            guardian=guardian,
            age_band=AgeBand.FROM_16,
        )
        gone = make_volunteer(demonstration=self.demonstration, left_at=NOW)
        for lead in (child, gone):
            with pytest.raises(
                ValidationError, match="Choose an adult who is still on the list"
            ):
                self.post(lead=lead)
        assert self.post(lead=guardian).lead == guardian


class EditTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()
        cls.gathering = make_gathering(
            demonstration=cls.demonstration, **details(), sequence=3
        )
        cls.station = make_station(gathering=cls.gathering, title="Pull", places=1)

    def edit(self, *stations, publish=False, same_place=False, **changes):
        return services.edit(
            gathering=self.gathering,
            details=details(**changes),
            stations=stations or [plan(station=self.station, places=1)],
            now=NOW,
            publish=publish,
            same_place=same_place,
        )

    def test_words_put_right_keep_the_sequence(self):
        edited = self.edit(title="Pulling at the lane", bring="Gloves and water")
        assert (edited.sequence, edited.revised_at) == (3, NOW)

    def test_nothing_changed_is_no_revision(self):
        before = self.gathering.revised_at
        assert self.edit().revised_at == before

    def test_a_new_time_raises_the_sequence(self):
        assert self.edit(ends_at=START + timedelta(hours=3)).sequence == 4

    def test_a_new_place_raises_the_sequence_unless_only_its_words_did(self):
        assert self.edit(place="The tap gate", same_place=True).sequence == 3
        assert self.edit(place="The low gate").sequence == 4

    def test_what_moved_says_when_it_was_first_to_be_until_it_is_back(self):
        for hours in (1, 2):
            moved = self.edit(starts_at=START - timedelta(hours=hours))
            assert moved.has_moved
            assert was(moved) == "It was to be on Friday 14 August 2026 at 18:40."
        back = self.edit()
        assert (back.has_moved, was(back)) == (False, "")

    def test_what_meets_elsewhere_says_where_it_was_first_to_be(self):
        first = self.gathering.place
        assert not self.edit(place="The lane gate", same_place=True).has_moved
        for place in ("The low gate", "The top gate"):
            words = was(self.edit(place=place))
            assert words == "It was to meet at The lane gate."
        both = was(self.edit(place="The mill", starts_at=START - timedelta(hours=1)))
        assert both.endswith("2026 at 18:40, at The lane gate.")
        self.edit(place="The lane gate")
        assert not self.edit(place=first, same_place=True).has_moved

    def test_a_longer_evening_has_not_moved(self):
        assert not self.edit(ends_at=START + timedelta(hours=3)).has_moved

    def test_a_draft_moves_unseen(self):
        self._set(GatheringStatus.DRAFT)
        moved = {"starts_at": START - timedelta(hours=1), "place": "The mill"}
        assert not self.edit(publish=True, **moved).has_moved

    def test_a_draft_has_no_sequence_until_it_is_posted(self):
        self._set(GatheringStatus.DRAFT)
        edited = self.edit(ends_at=START + timedelta(hours=3))
        assert (edited.is_draft, edited.sequence) == (True, 3)
        posted = self.edit(publish=True)
        assert (posted.status, posted.sequence) == (GatheringStatus.POSTED, 3)

    def test_publishing_what_is_posted_changes_nothing(self):
        assert self.edit(publish=True).revised_at == self.gathering.revised_at

    def test_a_draft_is_not_posted_into_the_past(self):
        past = {"starts_at": NOW - timedelta(days=1), "ends_at": NOW}
        self._set(GatheringStatus.DRAFT, **past)
        with pytest.raises(ValidationError, match="That time has passed"):
            self.edit(publish=True, **past)

    def test_a_gathering_is_not_moved_into_the_past(self):
        with pytest.raises(ValidationError, match="That time has passed"):
            self.edit(starts_at=NOW - timedelta(hours=1))

    def test_words_of_a_past_gathering_may_be_put_right(self):
        past = {"starts_at": NOW - timedelta(days=1), "ends_at": NOW}
        self._set(GatheringStatus.POSTED, **past)
        assert self.edit(title="Pulled by the lane", **past)

    def test_more_places_let_the_queue_in(self):
        make_sign_up(station=self.station)
        waits = make_sign_up(station=self.station, status=SignUpStatus.WAITING)
        self.edit(plan(station=self.station, places=2))
        waits.refresh_from_db()
        assert waits.status == SignUpStatus.HELD

    def test_places_that_people_hold_are_not_taken_from_them(self):
        for _ in range(2):
            make_sign_up(station=self.station)
        with pytest.raises(ValidationError, match="people have a place at"):
            self.edit()

    def test_a_station_people_hold_is_not_taken_away(self):
        make_sign_up(station=self.station)
        with pytest.raises(ValidationError, match="signed up for Pull"):
            self.edit(plan(title="Tie", kind="tie"))

    def test_a_station_nobody_holds_goes_with_its_old_sign_ups(self):
        make_sign_up(station=self.station, status=SignUpStatus.GIVEN_UP)
        edited = self.edit(plan(title="Tie", kind="tie"))
        assert [row.title for row in edited.stations.in_order()] == ["Tie"]

    def _set(self, status, **fields):
        for name, value in {"status": status, **fields}.items():
            setattr(self.gathering, name, value)
        self.gathering.save()


class DeleteDraftTests(TestCase):
    def test_a_draft_goes_with_its_stations(self):
        draft = make_gathering(status=GatheringStatus.DRAFT)
        make_station(gathering=draft)
        services.delete_draft(gathering=draft)
        assert not Gathering.objects.exists()

    def test_what_was_posted_stays(self):
        with pytest.raises(ValidationError, match="Call it off instead"):
            services.delete_draft(gathering=make_gathering())
