"""Two lines of one person become one: nothing lost, nothing counted twice."""

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.apps import apps
from django.core.exceptions import ValidationError
from django.db.models import UniqueConstraint
from django.test import SimpleTestCase, TestCase
from django.urls import reverse

from heritage.common import clock
from heritage.fieldlog import services as coming
from heritage.fieldlog.models import Kind, Receipt
from heritage.fieldlog.selectors import Slip
from heritage.fieldlog.services import Desk
from heritage.gatherings.models import SignUp, SignUpStatus, Turnout
from heritage.lots.models import Move
from heritage.people.models import AgeBand, Subject, Volunteer
from heritage.people.selectors import people_page
from heritage.pictures.models import Picture
from heritage.privacy.erasing import services as erasing_services
from heritage.privacy.held import selectors
from heritage.privacy.merging import selectors as merging_selectors
from heritage.privacy.merging import services
from heritage.privacy.merging.selectors import meetings, merging
from heritage.privacy.models import Merge
from heritage.privacy.selectors import of_a_line
from heritage.tally.models import Entry, OwnLog
from heritage.tally.selectors import board
from heritage.tally.services import carry_over, correct
from heritage.tally.statements.selectors import statement, statements, totals
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_agreement,
    make_briefing,
    make_briefing_version,
    make_competence,
    make_entry,
    make_erasure,
    make_gathering,
    make_health_note,
    make_invitation,
    make_muster,
    make_organiser,
    make_picture,
    make_safe,
    make_sign_up,
    make_skill,
    make_station,
    make_turnout,
    make_volunteer,
    make_wording,
)
from tests.privacy.world import fill_once, make_home
from tests.tally.rows import make_own_log, make_work

HOUR = timedelta(hours=1)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class NothingForgottenTests(SimpleTestCase):
    def test_every_field_to_a_volunteer_is_carried_over(self):
        said = {f"{model._meta.label}.{field}" for model, field, _how in of_a_line()}
        found = {
            f"{model._meta.label}.{field.name}"
            for model in apps.get_models()
            for field in model._meta.get_fields()
            if field.is_relation
            and not field.auto_created
            and field.related_model is Volunteer
        }
        assert found == said, "Say in the model's `Privacy` how it goes over."

    def test_what_meets_is_once_each_in_the_database(self):
        ours = {model._meta.model_name for model, _field, _meets in meetings()}
        assert ours == {
            "acknowledgement", "agreement", "awaited", "safe", "signup", "skill",
            "treader", "turnout",
        }  # fmt: skip
        for model, field, meets in meetings():
            names = {field, meets.key}
            assert any(
                names == set(one.fields)
                for one in model._meta.constraints
                if isinstance(one, UniqueConstraint)
            )
            assert "%s" in str(meets.words)


class World(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home, cls.nora, cls.ann, cls.ned = make_home()
        cls.here = {"demonstration": cls.home}
        cls.paper = make_volunteer(
            user=None,
            name="A. Rush",
            phone="1",
            joined_at=NOW - timedelta(days=60),
            **cls.here,
        )
        cls.begun = make_gathering(
            starts_at=NOW - 3 * HOUR, ends_at=NOW - HOUR, **cls.here
        )

    def merge(self, gone=None, kept=None, by=None):
        row = services.merge(
            gone=gone or self.paper,
            kept=kept or self.ann,
            by=by or self.nora.user,
            now=NOW,
        )
        self.ann = Volunteer.objects.get(pk=self.ann.pk)
        self.paper = Volunteer.objects.get(pk=self.paper.pk)
        return row

    def entry(self, person, **fields):
        return make_entry(gathering=self.begun, volunteer=person, **fields)


class BookTests(World):
    def test_totals_are_the_same_to_the_beet(self):
        self.entry(self.ann, beets=5)
        first = self.entry(self.paper, beets=30, way="machine", source="paper")
        correct(
            entry=first, right_beets=28, reason="Two fell off",
            by=self.nora.user, now=NOW,
        )  # fmt: skip
        make_work(gathering=self.begun, volunteer=self.paper, kind="bands", amount=9)
        make_turnout(gathering=self.begun, volunteer=self.paper)
        before = board(self.home)
        row = self.merge()
        after = board(self.home)
        assert (after.total, after.evenings) == (
            before.total,
            _now_one(before.evenings),
        )
        assert after.work == before.work
        [line] = after.people
        assert (line.volunteer, line.beets, line.evenings) == (self.ann, 33, 1)
        page = statement(self.ann)
        assert (page.beets, page.work) == (33, [("bands cut", 9)])
        assert [one.volunteer for one in statements(self.home)] == [self.ann]
        assert [one.volunteer for one in totals(self.home)] == [self.ann]
        anew = Entry.objects.by(self.ann).get(beets=28)
        assert (anew.way, anew.source) == ("machine", "paper")
        assert statement(self.paper).beets == 0
        assert row.moved["beets"] == 28
        assert "line" in anew.reason

    def test_the_record_of_one_evening_is_one_person_s(self):
        self.entry(self.ann, beets=5)
        self.entry(self.paper, beets=6)
        assert board(self.home).evenings[0].people == 2
        self.merge()
        records = board(self.home).records
        assert (records.best.beets, records.most_people.people) == (11, 1)

    def test_own_logs_wait_for_their_answer_on_the_kept_line(self):
        make_own_log(gathering=self.begun, volunteer=self.paper, beets=4)
        self.merge()
        waiting = OwnLog.objects.of(self.home).unanswered().get()
        assert (waiting.volunteer, waiting.beets) == (self.ann, 4)
        assert statement(self.ann).unconfirmed == 4

    def test_twice_is_once(self):
        self.entry(self.paper, beets=6)
        make_work(gathering=self.begun, volunteer=self.paper)
        make_own_log(gathering=self.begun, volunteer=self.paper)
        first = self.merge()
        lines = Entry.objects.of(self.home).count()
        assert self.merge() == first
        again = carry_over(gone=self.paper, kept=self.ann, by=self.nora.user, now=NOW)
        assert (again.beets, again.work_lines, again.own_logs) == (0, 0, 0)
        assert Entry.objects.of(self.home).count() == lines
        assert Merge.objects.count() == 1


def _now_one(evenings):
    """Return the evenings with two lines counted as the one person they are."""
    return [type(e)(e.gathering, e.day, e.beets, 1) for e in evenings]


class RowTests(World):
    def test_everything_goes_over_and_nothing_is_doubled(self):
        fill_once(self.paper, by=self.nora.user)
        child = make_volunteer(
            user=None, age_band=AgeBand.FROM_13, guardian=self.paper, **self.here
        )
        held = {
            part.key: len(part.rows) for part in selectors.held(self.paper, NOW).parts
        }
        row = self.merge()
        after = {
            part.key: len(part.rows) for part in selectors.held(self.ann, NOW).parts
        }
        for key in set(held) - {"details", "entries", "work", "own_logs", "statement"}:
            with self.subTest(key=key):
                assert after[key] >= held[key]
        child.refresh_from_db()
        assert child.guardian == self.ann
        assert Receipt.objects.filter(volunteer=self.ann).exists()
        assert not self.paper.letters.exists()
        assert row.moved["pictures"] == 1
        assert str(row) == f"{self.paper.pk} into {self.ann.pk}"

    def test_a_telephone_in_the_field_still_knows_them(self):
        """A slip that names the line that went counts for the one that stayed."""
        self.merge()
        slip = Slip(uuid.uuid4(), Kind.CAME, {"person": self.paper.pk})
        desk = Desk(self.begun, slip, self.nora.user, NOW, NOW)
        coming.came(desk)
        assert Turnout.objects.get().volunteer == self.ann

    def test_the_other_line_is_off_every_list(self):
        key = self.paper.calendar_key
        self.merge()
        assert (self.paper.merged_into, self.paper.left_at) == (self.ann, NOW)
        assert self.paper.phone == ""
        assert self.paper.calendar_key != key
        assert self.ann.joined_at == NOW - timedelta(days=60)
        page = people_page(self.home, NOW)
        assert self.paper not in (*page.people, *page.gone)
        assert self.paper not in merging_selectors.pickable(self.home)

    def test_the_account_goes_to_the_line_that_lacks_one(self):
        paper, ann, user = self.paper, self.ann, self.nora.user
        make_organiser(**self.here)
        invitation = make_invitation(volunteer=paper, **self.here)
        services.merge(gone=self.nora, kept=paper, by=user, now=NOW)
        paper.refresh_from_db()
        assert (paper.user, paper.is_organiser) == (user, True)
        assert paper.organiser_since == self.nora.organiser_since
        invitation.refresh_from_db()
        assert invitation.withdrawn_at == NOW
        row = services.merge(gone=ann, kept=paper, by=user, now=NOW)
        paper.refresh_from_db()
        assert paper.user == user
        assert any("stays, and" in words for words in row.settled)

    def test_who_left_comes_back_with_a_line_that_did_not(self):
        self.ann.left_at = NOW - HOUR
        self.ann.save(update_fields=["left_at"])
        self.merge()
        assert self.ann.left_at is None

    def test_two_paper_lines_of_whom_both_left(self):
        gone, kept = (
            make_volunteer(
                user=None, left_at=NOW - HOUR, emergency_name=name, **self.here
            )
            for name in ("Bea", "Ben")
        )
        services.merge(gone=gone, kept=kept, by=self.nora.user, now=NOW)
        kept.refresh_from_db()
        assert (kept.left_at, kept.emergency_name) == (NOW - HOUR, "Ben")

    def test_both_accounts_and_what_both_hold_are_told_beforehand(self):
        other = make_volunteer(**self.here)
        for person in (other, self.ann):
            make_turnout(gathering=self.begun, volunteer=person)
        meets = " ".join(merging(other, self.ann).meets)
        assert "Both have an account" in meets
        assert f"Both came to {self.begun}" in meets

    def test_details_that_lack_are_filled_in(self):
        self.paper.emergency_name, self.paper.email = "Bea Rush", "a@example.org"
        self.paper.save()
        self.ann.email = ""
        self.ann.save()
        self.merge()
        assert (self.ann.emergency_name, self.ann.email) == (
            "Bea Rush",
            "a@example.org",
        )

    def test_both_health_notes_become_one(self):
        make_health_note(volunteer=self.paper, text="Bees")
        self.merge_notes("Bees")
        other = make_volunteer(user=None, **self.here)
        make_health_note(volunteer=other, text="Peanuts")
        services.merge(gone=other, kept=self.ann, by=self.nora.user, now=NOW)
        self.merge_notes("Bees\nPeanuts")

    def merge_notes(self, words):
        self.merge()
        self.ann.health_note.refresh_from_db()
        assert self.ann.health_note.text == words

    def test_somebody_merged_twice_is_the_last_who_was_kept(self):
        first = make_volunteer(user=None, **self.here)
        self.merge(gone=first, kept=self.paper)
        self.merge()
        first.refresh_from_db()
        assert first.merged_into == self.ann
        assert Move(who=first).done_by == self.ann


class MeetingTests(World):
    def settled(self, words, **fields):
        row = self.merge(**fields)
        assert any(words in said for said in row.settled), row.settled
        return row

    def test_the_better_place_stays_and_the_queue_moves(self):
        evening = make_gathering(**self.here)
        full, other = (make_station(gathering=evening, places=1) for _ in range(2))
        make_sign_up(station=full, volunteer=self.paper, asked_at=NOW)
        mine = make_sign_up(station=other, volunteer=self.ann, asked_at=NOW - HOUR)
        bob = make_sign_up(station=full, status=SignUpStatus.WAITING)
        self.settled("one of two places was given up")
        assert SignUp.objects.live().by(self.ann).get() == mine
        assert SignUp.objects.by(self.ann).count() == 2
        bob.refresh_from_db()
        assert bob.status == SignUpStatus.HELD

    def test_of_a_gathering_that_is_over_nobody_is_told(self):
        station = make_station(gathering=self.begun)
        make_sign_up(station=station, volunteer=self.paper, status=SignUpStatus.WAITING)
        mine = make_sign_up(station=station, volunteer=self.ann)
        self.settled("one of two places")
        assert SignUp.objects.live().by(self.ann).get() == mine

    def test_two_stays_become_one(self):
        start = self.begun.starts_at
        make_turnout(
            gathering=self.begun, volunteer=self.paper,
            arrived_at=start, left_at=start + HOUR,
        )  # fmt: skip
        make_turnout(
            gathering=self.begun, volunteer=self.ann,
            arrived_at=start + HOUR / 2, left_at=start + 2 * HOUR,
        )  # fmt: skip
        self.settled("15:40 to 16:40; 16:10 to 17:40 became 15:40 to 17:40")
        row = Turnout.objects.get(gathering=self.begun)
        assert (row.volunteer, row.left_at) == (self.ann, start + 2 * HOUR)
        assert statement(self.ann).hours == Decimal("2.0")

    def test_a_leaving_nobody_noted_gives_way_to_one_that_was(self):
        start = self.begun.starts_at
        for person, left in ((self.paper, None), (self.ann, start + HOUR)):
            make_turnout(
                gathering=self.begun, volunteer=person, arrived_at=start, left_at=left
            )
        self.settled("?")
        assert Turnout.objects.get().left_at == start + HOUR

    def test_the_first_hearing_and_sighting_stay(self):
        version = make_briefing_version(briefing=make_briefing(**self.here))
        first = make_acknowledgement(
            version=version, volunteer=self.paper, heard_at=NOW - HOUR
        )
        make_acknowledgement(version=version, volunteer=self.ann)
        muster = make_muster(gathering=self.begun)
        for person in (self.ann, self.paper):
            make_safe(muster=muster, volunteer=person)
        self.settled("the second time")
        assert self.ann.acknowledgements.get() == first
        assert muster.safe.get().volunteer == self.ann

    def skills(self, theirs, own):
        can = make_competence(**self.here)
        rows = [
            make_skill(volunteer=person, competence=can, **fields)
            for person, fields in ((self.paper, theirs), (self.ann, own))
        ]
        self.settled("said twice")
        return rows, self.ann.skills.get()

    def test_of_two_confirmed_the_one_that_lasts_stays(self):
        (best, _other), kept = self.skills({}, {"runs_out_on": NOW.date()})
        assert kept == best

    def test_the_confirmed_one_stays(self):
        said = {"confirmed_by": None}
        (_other, best), kept = self.skills(said, {"runs_out_on": NOW.date()})
        assert kept == best

    def test_agreed_twice_is_agreed_once(self):
        words = make_wording(**self.here)
        first = make_agreement(volunteer=self.paper, wording=words, given_at=NOW - HOUR)
        make_agreement(volunteer=self.ann, wording=words)
        picture = make_picture(**self.here)
        picture.people.add(self.paper)
        self.settled("agreed to twice")
        assert self.ann.agreements.get() == first
        assert Picture.objects.published().get().people.get() == self.ann

    def test_taken_back_on_one_line_is_taken_back(self):
        words = make_wording(subject=Subject.PHOTOGRAPH, **self.here)
        make_agreement(volunteer=self.ann, wording=words, given_at=NOW - 2 * HOUR)
        make_agreement(
            volunteer=self.paper, wording=words, given_at=NOW - 3 * HOUR,
            withdrawn_at=NOW - HOUR, withdrawn_by=self.nora.user,
        )  # fmt: skip
        make_picture(**self.here).people.add(self.ann)
        self.settled("so it is on both")
        assert not self.ann.agreements.standing().exists()
        assert not Picture.objects.published().exists()


class HindranceTests(World):
    def refused(self, words, gone, kept, by=None):
        with pytest.raises(ValidationError, match=words):
            services.merge(gone=gone, kept=kept, by=by or self.nora.user, now=NOW)

    def test_only_an_organiser(self):
        self.refused("Only an organiser", self.paper, self.ann, self.ann.user)

    def test_who_cannot_be_one_person(self):
        self.refused("one and the same", self.ann, self.ann)
        self.refused("two demonstrations", make_volunteer(), self.ann)
        self.refused("two people", self.ned, self.ann)
        self.refused("two people", self.ann, self.ned)
        other = make_volunteer(
            user=None, age_band=AgeBand.FROM_13, guardian=self.nora, **self.here
        )
        self.refused("Keep the child's entry", other, self.paper)
        self.refused("A child cannot organise", self.ann, other)

    def test_what_must_be_settled_first(self):
        make_erasure(volunteer=self.paper)
        self.refused("asks to be deleted", self.paper, self.ann)
        other = make_volunteer(user=None, **self.here)
        make_health_note(volunteer=other, text="a" * 400)
        make_health_note(volunteer=self.ann, text="b" * 400)
        self.refused("too long together", other, self.ann)

    def test_what_was_merged_or_erased_before(self):
        self.merge()
        self.refused("deleted or joined before", self.paper, self.nora)

    def test_a_merged_line_asks_for_nothing(self):
        self.merge()
        with pytest.raises(ValidationError, match="deleted or joined with another"):
            erasing_services.ask_erasure(
                volunteer=self.paper, by=self.nora.user, now=NOW
            )


class PageTests(World):
    def address(self, name, *keys):
        return reverse(f"privacy:{name}", args=[self.home.slug, *keys])

    def test_a_fixed_number_of_queries(self):
        for _size in range(2):
            with self.assertNumQueries(62):
                merging(self.paper, self.ann)
            fill_once(self.paper if _size else self.ann, by=self.nora.user)

    def test_from_the_list_to_the_end(self):
        self.client.force_login(self.nora.user)
        fill_once(self.paper, by=self.nora.user)
        assert "A. Rush" in self.client.get(self.address("merges")).content.decode()
        page = self.address("merge", self.paper.pk)
        assert "Show both" in self.client.get(page).content.decode()
        both = self.client.get(page, {"into": self.ann.name}).content.decode()
        assert "This one stays" in both
        unsure = self.client.post(page, {"into": self.ann.pk})
        assert "Tick if they&#x27;re one person" in unsure.content.decode()
        assert "This one stays" in unsure.content.decode()
        done = self.client.post(page, {"into": self.ann.pk, "sure": "on"}, follow=True)
        assert "A. Rush became Ann Rush" in done.content.decode()
        assert self.client.get(page).status_code == 404

    def test_a_refusal_is_shown_before_and_on_the_form(self):
        self.client.force_login(self.nora.user)
        page = self.address("merge", self.ned.pk)
        seen = self.client.get(page, {"into": self.ann.name}).content.decode()
        assert "so they are two people" in seen
        self.client.post(page, {"into": self.ann.pk, "sure": "on"})
        assert not Merge.objects.exists()

    def test_organisers_of_here_alone(self):
        self.client.force_login(self.ann.user)
        assert self.client.get(self.address("merges")).status_code == 403
        self.client.force_login(self.nora.user)
        other = make_volunteer()
        assert self.client.get(self.address("merge", other.pk)).status_code == 404
        page = self.address("merge", self.paper.pk)
        answer = self.client.post(page, {"into": other.pk, "sure": "on"})
        assert "into" in answer.context["form"].errors
