"""The evening's sheet: who came and what each pulled, in one save."""

from datetime import UTC, date, datetime, timedelta
from uuid import uuid4

import pytest
from django.urls import reverse

from heritage.gatherings.models import GatheringStatus, Turnout
from heritage.people.models import Volunteer
from heritage.tally.models import Answer, Entry
from tests.factories import make_entry, make_muster, make_turnout
from tests.gatherings.evening import EveningCase
from tests.tally.rows import make_own_log


class SheetCase(EveningCase):
    def setUp(self):
        super().setUp()
        self.at(self.gathering.ends_at + timedelta(hours=1))
        self.client.force_login(self.liam.user)

    def path(self):
        return reverse("tally:log", args=[self.demonstration.slug, self.gathering.pk])

    def shown(self):
        """Return what the page would send if nothing on it was changed."""
        form = self.client.get(self.path()).context["form"]
        values = {name: form[name].value() for name in form.fields}
        sent = {
            name: f"{value:%H:%M}" if hasattr(value, "hour") else value
            for name, value in values.items()
            if value not in (None, False, "")
        }
        return sent | {"key": str(uuid4())}

    def send(self, press="close", **changes):
        data = self.shown() | changes | {press: "1"}
        data = {name: value for name, value in data.items() if value is not None}
        return self.client.post(self.path(), data, follow=True)

    def beets(self, person):
        return Entry.objects.by(person).beets()


class SheetTests(SheetCase):
    def test_one_save_writes_who_came_and_what_they_pulled_and_closes(self):
        page = self.send(**{f"beets_{self.ann.pk}": "9"})
        self.assertContains(page, "is closed.")
        row = Turnout.objects.get()
        assert (row.volunteer, row.left_at) == (self.ann, self.gathering.ends_at)
        assert self.beets(self.ann) == 9
        self.gathering.refresh_from_db()
        assert self.gathering.closed_at

    def test_visitors_are_counted_as_it_is_closed(self):
        self.send(visitors="60")
        self.gathering.refresh_from_db()
        assert (self.gathering.visitors, bool(self.gathering.closed_at)) == (60, True)
        page = self.send(visitors="20001")
        assert page.context["form"].errors.keys() == {"visitors"}
        self.send(visitors=None)
        self.gathering.refresh_from_db()
        assert self.gathering.visitors is None, "taken back"

    def test_what_gate_and_phone_have_is_there_and_stays_if_nothing_is_changed(self):
        came = self.gathering.starts_at + timedelta(minutes=10)
        make_turnout(
            gathering=self.gathering, volunteer=self.ann, arrived_at=came, left_at=None
        )
        make_entry(gathering=self.gathering, volunteer=self.ann, beets=5)
        self.send()
        row = Turnout.objects.get()
        assert (row.arrived_at, row.left_at) == (came, self.gathering.ends_at)
        assert (self.beets(self.ann), Entry.objects.count()) == (5, 1)

    def test_fewer_beets_are_countered_and_the_book_keeps_both(self):
        for beets in (3, 4):
            make_entry(gathering=self.gathering, volunteer=self.ann, beets=beets)
        self.send(**{f"beets_{self.ann.pk}": "2"})
        assert (self.beets(self.ann), Entry.objects.count()) == (2, 4)
        self.send(**{f"beets_{self.ann.pk}": "2"})
        assert Entry.objects.count() == 4

    def test_what_a_phone_sent_meanwhile_is_not_taken_back(self):
        make_entry(gathering=self.gathering, volunteer=self.ann, beets=5)
        before = self.shown()
        make_entry(gathering=self.gathering, volunteer=self.ann, beets=3)
        self.client.post(self.path(), before | {"close": "1"})
        assert self.beets(self.ann) == 8
        changed = before | {f"beets_{self.ann.pk}": "6", "close": "1"}
        page = self.client.post(self.path(), changed)
        self.assertContains(page, "The tally has 8 by now. Please check.")
        self.assertContains(page, 'value="6"')
        assert self.beets(self.ann) == 8

    def test_own_counts_stand_filled_in_and_are_confirmed_by_the_save(self):
        make_own_log(gathering=self.gathering, volunteer=self.ann, beets=6)
        assert self.shown()[f"beets_{self.ann.pk}"] == 6
        self.send()
        assert Answer.objects.get().entry.beets == 6
        assert self.beets(self.ann) == 6

    def test_another_number_than_their_own_count_is_the_leads(self):
        make_own_log(gathering=self.gathering, volunteer=self.ann, beets=6)
        self.send(**{f"beets_{self.ann.pk}": "4"})
        assert Answer.objects.get().entry is None
        assert self.beets(self.ann) == 4

    def test_nobody_confirms_their_own_count(self):
        make_own_log(gathering=self.gathering, volunteer=self.liam, beets=6)
        self.send()
        assert not Answer.objects.exists()

    def test_it_is_not_closed_while_a_head_count_is_open_and_nothing_is_kept(self):
        make_muster(gathering=self.gathering)
        page = self.send(**{f"beets_{self.ann.pk}": "9"})
        self.assertContains(page, "A head-count is still open")
        assert not Entry.objects.exists()

    def test_while_it_goes_on_it_is_saved_and_not_closed(self):
        self.at(self.gathering.starts_at + timedelta(minutes=30))
        assert "Save and close" not in self.client.get(self.path()).content.decode()
        page = self.send("close", **{f"beets_{self.ann.pk}": "2"})
        self.assertContains(page, "still on")
        self.send("save", **{f"beets_{self.ann.pk}": "2", f"to_{self.ann.pk}": None})
        assert Turnout.objects.get().left_at is None

    def test_the_sheet_costs_the_same_however_many_came(self):
        def asked():
            with self.assertNumQueries(17):
                self.client.get(self.path())

        make_turnout(gathering=self.gathering, volunteer=self.ann)
        asked()
        for _ in range(3):
            make_entry(gathering=self.gathering)
            make_turnout(gathering=self.gathering)
        asked()


@pytest.mark.any_database
class TimesTests(SheetCase):
    def test_leaving_before_coming_names_its_field_and_keeps_all(self):
        page = self.send(
            **{f"came_{self.ann.pk}": "on", f"to_{self.ann.pk}": "18:00"},
            name="Ben Moss",
        )
        assert f"to_{self.ann.pk}" in page.context["form"].errors
        self.assertContains(page, "They leave before they came")
        self.assertContains(page, 'value="Ben Moss"')
        assert not Turnout.objects.exists()

    def test_a_past_midnight_end_is_the_next_day(self):
        self.gathering.ends_at = self.gathering.starts_at + timedelta(hours=7)
        self.gathering.save()
        self.at(self.gathering.ends_at)
        self.send(**{f"came_{self.ann.pk}": "on", f"to_{self.ann.pk}": "00:30"})
        assert Turnout.objects.get().left_at.date() == date(2026, 8, 13)

    def test_a_time_that_comes_twice_names_its_field(self):
        start = datetime(2026, 10, 24, 23, 30, tzinfo=UTC)
        self.gathering.starts_at = start
        self.gathering.ends_at = start + timedelta(hours=3)
        self.gathering.save()
        self.at(self.gathering.ends_at)
        times = {f"from_{self.ann.pk}": "01:30", f"to_{self.ann.pk}": None}
        page = self.send(**{f"came_{self.ann.pk}": "on"}, **times)
        assert f"from_{self.ann.pk}" in page.context["form"].errors
        self.assertContains(page, "that time comes twice")

    def test_unticked_is_struck_off(self):
        make_turnout(gathering=self.gathering, volunteer=self.ann)
        self.send(**{f"came_{self.ann.pk}": None})
        assert not Turnout.objects.exists()


@pytest.mark.any_database
class SomebodyElseTests(SheetCase):
    def test_somebody_known_is_added_with_their_beets(self):
        page = self.send("more", somebody=self.cat.name, their_beets="3")
        self.assertContains(page, "Cat Dow")
        assert self.beets(self.cat) == 3

    def test_a_new_name_is_added(self):
        self.send("more", name="Ben Moss")
        assert Turnout.objects.get().volunteer.name == "Ben Moss"

    def test_a_search_shows_the_sheet_as_it_was_typed_and_writes_nothing(self):
        page = self.send("seek", sought="ann", name="Ben Moss", their_beets="3")
        self.assertContains(page, 'value="Ben Moss"')
        assert not page.context["form"].errors
        assert not Volunteer.objects.filter(name="Ben Moss").exists()

    def test_both_a_name_and_a_new_name_are_refused(self):
        page = self.send("more", somebody=self.cat.name, name="Ben Moss")
        self.assertContains(page, "not both")
        self.assertContains(page, 'value="Ben Moss"')
        assert not Volunteer.objects.filter(name="Ben Moss").exists()

    def test_a_draft_takes_nobody(self):
        self.client.force_login(self.nora.user)
        self.gathering.status = GatheringStatus.DRAFT
        self.gathering.save()
        page = self.send("save", name="Ben Moss")
        self.assertContains(page, "begun yet")
        assert not Volunteer.objects.filter(name="Ben Moss").exists()
