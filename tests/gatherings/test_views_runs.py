"""The pages of a run: asked for, looked over, posted, changed, ended."""

from datetime import timedelta

from django.core import mail
from django.urls import reverse

from heritage.gatherings.models import Gathering, GatheringStatus, Run
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_pattern,
    make_pattern_station,
    make_run,
    make_sign_up,
    make_station,
)
from tests.gatherings.evening import EveningCase
from tests.gatherings.test_views_writing import rows


def typed(**changes):
    return {
        "title": "Every dry evening",
        "stage": "pulling",
        "weekdays": ["0", "2"],
        "first_day": "2026-08-17",
        "last_day": "2026-08-26",
        "starts": "18:30",
        "ends": "20:15",
        "place": "The gate on the lane",
    } | changes


class PostRunTests(EveningCase):
    def send_run(self, *stations, **changes):
        data = typed(**changes) | rows(*(stations or [{}]))
        return self.send("post_run", by=self.nora, **data)

    def shown(self, **changes):
        response = self.send_run(preview="1", **changes)
        return [one for one, _ in response.context["evenings"]]

    def answered(self, *, ticked=None, button="post", **changes):
        """Look the evenings over, then post those ticked."""
        found = self.shown(**changes)
        data = {
            "seen": [one.key for one in found],
            "evening": [
                one.key for one in found if ticked is None or one.day.day in ticked
            ],
            "clashing": [f"{one.day}" for one in found if one.clashes],
            button: "1",
        }
        return self.send_run(**changes, **data)

    def test_it_begins_with_monday_to_friday_and_an_evening_of_pulling(self):
        page = self.page("post_run", by=self.nora)
        assert page.context["form"]["weekdays"].value() == [0, 1, 2, 3, 4]
        assert page.context["rows"].forms[0]["kind"].value() == "pull"

    def test_it_begins_from_a_pattern(self):
        pattern = make_pattern(demonstration=self.demonstration, title="Tying")
        make_pattern_station(pattern=pattern, title="Tie")
        page = self.page("post_run", by=self.nora, data={"pattern": pattern.pk})
        assert page.context["form"]["title"].value() == "Tying"

    def test_every_evening_is_shown_before_anything_is_posted(self):
        response = self.send_run(preview="1", ends="22:00")
        assert not Run.objects.exists()
        assert [one.day.day for one, _ in response.context["evenings"]] == [
            17, 19, 24, 26,
        ]  # fmt: skip
        self.assertContains(response, "goes dark")
        self.assertContains(response, "End by ")
        self.assertContains(response, "Dry or not is decided each evening")
        # The page is long: the press leads down to what it shows.
        self.assertContains(response, 'formaction="#evenings"')
        self.assertContains(response, 'id="evenings"')

    def test_what_was_not_shown_is_not_posted(self):
        response = self.send_run(post="1")
        assert not Run.objects.exists()
        self.assertContains(response, "Look the evenings over")

    def test_times_changed_since_are_shown_again(self):
        found = self.shown()
        seen = [one.key for one in found]
        response = self.send_run(post="1", seen=seen, evening=seen, ends="20:00")
        assert not Run.objects.exists()
        self.assertContains(response, "Look the evenings over")

    def test_those_ticked_are_posted(self):
        response = self.answered(ticked={17, 26})
        self.assertContains(response, "The run is posted.")
        self.assertContains(response, "No first-aider is chosen")
        days = [row.starts_at.day for row in Run.objects.get().gatherings.in_order()]
        assert days == [17, 26]

    def test_unticked_ones_stay_unticked_when_shown_again(self):
        found = self.shown()
        seen = [one.key for one in found]
        response = self.send_run(preview="1", seen=seen, evening=seen[1:])
        assert [ticked for _, ticked in response.context["evenings"]] == [
            False, True, True, True,
        ]  # fmt: skip

    def test_kept_as_drafts(self):
        response = self.answered(button="draft")
        self.assertContains(response, "kept as drafts")
        assert Gathering.objects.drafts().count() == 4

    def test_a_clash_is_unticked_and_may_be_ticked_all_the_same(self):
        self.gathering.starts_at += timedelta(days=4)
        self.gathering.ends_at += timedelta(days=4)
        self.gathering.save()
        response = self.send_run(preview="1")
        self.assertContains(response, "clashes")
        assert next(ticked for _, ticked in response.context["evenings"]) is False
        self.assertContains(self.answered(ticked={17}), "The run is posted.")

    def test_a_clash_since_it_was_shown_is_refused_and_said(self):
        seen = [one.key for one in self.shown()]
        self.answered()
        response = self.send_run(
            post="1", seen=seen, evening=seen, clashing=["nonsense"]
        )
        self.assertContains(response, "is posted at that time already")
        self.assertContains(response, 'value="Every dry evening"')
        assert Run.objects.count() == 1

    def refused(self, field, words, **changes):
        response = self.send_run(preview="1", **changes)
        assert field in response.context["form"].errors
        self.assertContains(response, words)
        self.assertContains(response, 'value="Every dry evening"')
        assert not response.context["evenings"]

    def test_bad_input_names_its_field_and_is_kept(self):
        self.refused(
            "last_day", "Choose a last day on or after the first", last_day="2026-08-01"
        )
        self.refused(
            "last_day",
            "Choose a last day within a year of the first",
            last_day="2028-08-01",
        )
        self.refused("ends", "The end is before the start", ends="18:00")
        self.refused("weekdays", "at least one day of the week", weekdays=[])
        self.refused(
            "weekdays",
            "None of those weekdays falls between these dates",
            last_day="2026-08-17",
            weekdays="3",
        )
        every = [str(day) for day in range(7)]
        self.refused("last_day", "at most 80", last_day="2026-12-01", weekdays=every)
        self.refused("left_out", "“soon” is no day", left_out="soon")

    def test_a_bad_station_shows_no_evenings(self):
        response = self.send_run({"fewest": "90"}, preview="1")
        assert "fewest" in response.context["rows"].forms[0].errors
        assert not response.context["evenings"]

    def test_days_left_out_may_be_written_in_several_ways(self):
        found = self.shown(left_out="19 Aug 2026, 24/8/2026\n2026-08-26;")
        assert [one.day.day for one in found] == [17]

    def test_a_row_more_keeps_what_was_typed(self):
        response = self.send_run({"title": "Pullers"}, add="1", left_out="soon")
        assert len(response.context["rows"].forms) == 2
        self.assertContains(response, 'value="soon"')
        assert response.context["form"]["weekdays"].value() == ["0", "2"]

    def test_looking_over_costs_the_same_however_many(self):
        self.be(self.nora)
        for last in ("2026-08-18", "2026-10-30"):
            data = typed(last_day=last, preview="1") | rows({})
            with self.assertNumQueries(15):
                self.client.post(self.url("post_run"), data)

    def test_only_organisers_post_runs(self):
        for view in ("runs", "post_run"):
            assert self.page(view, by=self.liam).status_code == 403


class RunTests(EveningCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.run_ = make_run(demonstration=cls.demonstration, title="Dry evenings")
        start = cls.gathering.starts_at
        cls.evenings = [
            make_gathering(
                demonstration=cls.demonstration,
                title="Pulling",
                run=cls.run_,
                starts_at=start + timedelta(days=day),
                ends_at=start + timedelta(days=day, hours=2),
            )
            for day in (1, 4)
        ]
        cls.pulls = [make_station(gathering=row, title="Pull") for row in cls.evenings]
        make_sign_up(station=cls.pulls[0], volunteer=cls.ann)

    def edit(self, *stations, **changes):
        shown = {
            "title": "Pulling",
            "stage": "pulling",
            "starts": "18:30",
            "ends": "20:30",
            "place": "The gate on the lane",
        }
        own = {"title": "Pull", "places": "2", "least_age": "from_13"}
        data = shown | rows(*(stations or [own]))
        data |= {"stations-INITIAL_FORMS": 1} | changes
        return self.send("edit_run", self.run_.pk, by=self.nora, **data)

    def test_the_list_and_the_page_show_it(self):
        self.assertContains(self.page("runs", by=self.nora), "Dry evenings")
        page = self.page("run", self.run_.pk, by=self.nora)
        self.assertContains(page, "Fri 14 Aug")
        self.assertContains(page, "1 of 2 places taken")
        home = self.page("gathering", self.evenings[0].pk, by=self.nora)
        self.assertContains(home, "One evening of a run")

    def test_the_page_costs_the_same_however_many(self):
        self.be(self.nora)
        for _ in range(2):
            with self.assertNumQueries(8):
                self.client.get(self.url("run", self.run_.pk))
            for day in range(10, 30):
                row = make_gathering(
                    demonstration=self.demonstration,
                    run=self.run_,
                    starts_at=NOW + timedelta(days=day),
                    ends_at=NOW + timedelta(days=day, hours=1),
                )
                make_station(gathering=row)

    def test_an_empty_list_says_what_to_do(self):
        Gathering.objects.update(run=None)
        Run.objects.all().delete()
        self.assertContains(self.page("runs", by=self.nora), "None posted yet")

    def test_what_is_left_as_it_is_changes_nothing(self):
        before = [row.revised_at for row in self.evenings]
        self.assertContains(self.edit(), "2 evenings are changed.")
        for row, revised in zip(self.evenings, before, strict=True):
            row.refresh_from_db()
            assert (row.revised_at, row.sequence) == (revised, 0)
        assert [row.stations.get().pk for row in self.evenings] == [
            one.pk for one in self.pulls
        ]

    def test_a_change_reaches_them_all(self):
        with self.captureOnCommitCallbacks(execute=True):
            self.edit(starts="18:00")
        for row in self.evenings:
            row.refresh_from_db()
            assert f"{row.starts_at:%H:%M}" == "17:00"
        assert len(mail.outbox) == 1

    def test_a_place_that_would_be_lost_is_said_with_its_evening(self):
        response = self.edit({"title": "Fork", "kind": "fork"}, bring="Boots")
        self.assertContains(response, "Friday 14 August: People are signed up for Pull")
        self.assertContains(response, 'value="Boots"')

    def test_bad_input_names_its_field(self):
        response = self.edit(ends="18:00", title="")
        assert set(response.context["form"].errors) == {"ends", "title"}

    def test_a_row_more_keeps_what_was_typed(self):
        response = self.edit(add="1", bring="Boots")
        assert len(response.context["rows"].forms) == 2
        self.assertContains(response, 'value="Boots"')

    def test_with_nothing_to_come_there_is_nothing_to_change(self):
        self.at(self.evenings[-1].ends_at)
        page = self.send("edit_run", self.run_.pk, by=self.nora)
        self.assertContains(page, "None of these evenings is still to come")

    def end(self, **said):
        with self.captureOnCommitCallbacks(execute=True):
            return self.send("end_run", self.run_.pk, by=self.nora, **said)

    def test_the_field_is_done(self):
        response = self.end(note="All pulled. Thank you.")
        self.assertContains(response, "2 evenings will not take place")
        states = {row.status for row in Gathering.objects.filter(run=self.run_)}
        assert states == {GatheringStatus.CALLED_OFF}
        assert "All pulled." in mail.outbox[0].body
        self.assertContains(self.end(), "Ended. There was nothing left to call off")
        assert len(mail.outbox) == 1
        visitor = self.page("gathering", self.evenings[0].pk)
        self.assertContains(visitor, "Called off: Pulling")

    def test_too_many_words_are_refused_and_kept(self):
        response = self.end(note="x" * 301)
        assert "note" in response.context["form"].errors
        assert set(Gathering.objects.values_list("status", flat=True)) == {"posted"}

    def test_one_is_taken_out(self):
        row = self.evenings[0]
        response = self.send("take_out", self.run_.pk, by=self.nora, gathering=row.pk)
        self.assertContains(response, "is on its own now")
        for key in (row.pk, "x", ""):
            response = self.send("take_out", self.run_.pk, by=self.nora, gathering=key)
            assert response.status_code == 404

    def test_a_strangers_run_is_not_there(self):
        theirs = make_run(demonstration=make_demonstration())
        for view in ("run", "edit_run"):
            assert self.page(view, theirs.pk, by=self.nora).status_code == 404

    def test_the_runs_own_address(self):
        home = reverse("gatherings:run", args=[self.demonstration.slug, self.run_.pk])
        assert self.run_.get_absolute_url() == home
