"""How long things are kept: each class is due on its day, and held for its reason."""

from datetime import date, timedelta
from io import StringIO

import pytest
from django.core.exceptions import ValidationError
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.test import SimpleTestCase, TestCase
from django.urls import reverse
from django_tasks_db.models import DBTaskResult

from heritage.common import clock
from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.incidents.models import Incident, LostChild
from heritage.people.letters.services import deliver
from heritage.people.models import LetterState, Subject
from heritage.privacy.keeping import selectors, services
from heritage.privacy.keeping.selectors import years_before
from heritage.privacy.models import Tidying
from heritage.privacy.selectors import declared
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_agreement,
    make_briefing,
    make_briefing_version,
    make_complaint,
    make_evidence,
    make_gathering,
    make_health_note,
    make_incident,
    make_invitation,
    make_letter,
    make_lost_child,
    make_muster,
    make_safe,
    make_sign_up,
    make_station,
    make_turnout,
    make_wording,
)
from tests.privacy.world import fill_once, make_home

DAY = timedelta(days=1)
YEAR = timedelta(days=366)


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class RuleTests(SimpleTestCase):
    def test_each_says_what_how_long_from_when_why_and_whose(self):
        for rule in selectors.RULES:
            with self.subTest(rule=rule.key):
                words = (rule.what, rule.how_long, rule.since, rule.basis, rule.source)
                assert all(str(word) for word in words)

    def test_every_model_s_rows_go_by_a_rule_that_is_there(self):
        rules = {kept.rule for _model, holds in declared() for kept in holds.rules}
        assert rules == {rule.key for rule in selectors.RULES if rule.is_ever_due}
        assert len(rules) == 12

    def test_what_no_print_says_is_our_own_rule(self):
        [rule] = [rule for rule in selectors.RULES if rule.key == "incidents"]
        assert "Until 21: our own rule" in str(rule.source)

    def test_years_before_a_leap_day(self):
        leap = NOW.replace(year=2028, month=2, day=29)
        assert years_before(leap, 3).date() == date(2025, 2, 28)
        assert years_before(NOW, 3).date() == date(2023, 8, 12)


class World(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.home, cls.nora, cls.ann, cls.ned = make_home()

    def due(self, key):
        lines = selectors.due_report(self.home, NOW).lines
        [line] = [line for line in lines if line.rule.key == key]
        return line.due, [(held.rows, held.why.split(":")[0]) for held in line.held]

    def over(self, ago):
        start = NOW - ago - timedelta(hours=2)
        return make_gathering(
            demonstration=self.home, starts_at=start, ends_at=NOW - ago
        )

    def place(self, ago, **fields):
        station = make_station(gathering=self.over(ago))
        return make_sign_up(station=station, volunteer=self.ann, **fields)


class DueTests(World):
    def test_nothing_fresh_is_due(self):
        fill_once(self.ann, by=self.ann.user)
        report = selectors.due_report(self.home, NOW)
        assert report.total == 0
        assert not any(line.held for line in report.lines)

    def test_places_after_thirty_days(self):
        self.place(29 * DAY, status=SignUpStatus.GIVEN_UP)
        self.place(31 * DAY, status=SignUpStatus.GIVEN_UP)
        self.place(31 * DAY, status=SignUpStatus.WAITING)
        self.place(31 * DAY, answer_by=NOW - 40 * DAY)
        held = self.place(31 * DAY)
        assert self.due("places") == (3, [])
        services.tidy(demonstration=self.home, now=NOW)
        assert held in SignUp.objects.of(self.home)
        assert SignUp.objects.of(self.home).count() == 2

    def test_attendance_after_three_years_unless_there_is_a_claim(self):
        for ago in (2 * YEAR, 3 * YEAR + DAY):
            evening = self.over(ago)
            make_turnout(gathering=evening, volunteer=self.ann)
            make_safe(muster=make_muster(gathering=evening), volunteer=self.ann)
        self.place(3 * YEAR + DAY)
        assert self.due("attendance") == (3, [])
        make_incident(
            demonstration=self.home, volunteer=self.ann, held_for="A solicitor wrote"
        )
        why = "One of their incidents is kept for a claim."
        assert self.due("attendance") == (0, [(3, why)])

    def test_briefings_after_three_years(self):
        version = make_briefing_version(
            briefing=make_briefing(demonstration=self.home),
            published_at=NOW - 4 * YEAR,
        )
        make_acknowledgement(
            version=version, volunteer=self.ann, heard_at=NOW - 3 * YEAR - DAY
        )
        make_acknowledgement(version=version, volunteer=self.nora)
        assert self.due("briefings") == (1, [])

    def test_health_notes_on_their_day(self):
        make_health_note(
            volunteer=self.ann, agreed_at=NOW - 60 * DAY, delete_on=NOW.date()
        )
        assert self.due("health") == (1, [])
        [row] = services.tidy(demonstration=self.home, now=NOW + 400 * DAY)
        assert (row.rule, row.rows, row.by) == ("health", 1, None)

    def test_incidents_when_completed_and_free_of_claims(self):
        past = {"demonstration": self.home, "keep_until": date(2026, 8, 11)}
        done = {"completed_at": NOW, "completed_by": self.nora.user}
        gone = make_incident(**past, **done)
        evidence = make_evidence(incident=gone)
        make_incident(**past, **done, held_for="A solicitor wrote")
        make_incident(**past)
        make_incident(demonstration=self.home, keep_until=NOW.date())
        held = [(1, "Held because of a claim."), (1, "Not completed")]
        assert self.due("incidents") == (1, held)
        assert default_storage.exists(evidence.file.name)
        with self.captureOnCommitCallbacks(execute=True):
            services.tidy(demonstration=self.home, now=NOW, by=self.nora.user)
        assert Incident.objects.of(self.home).count() == 3
        assert not default_storage.exists(evidence.file.name)

    def test_a_child_s_log_after_a_year_once_it_has_ended(self):
        past = {"demonstration": self.home, "delete_on": NOW.date()}
        make_lost_child(**past, closed_at=NOW, closed_by=self.nora.user, outcome="Home")
        make_lost_child(**past)
        assert self.due("lost_child") == (1, [(1, "Not ended")])
        services.tidy(demonstration=self.home, now=NOW)
        assert LostChild.objects.of(self.home).count() == 1

    def test_letters_after_a_year_unless_on_their_way(self):
        old = {"demonstration": self.home, "queued_at": NOW - YEAR - DAY}
        make_letter(**old, state=LetterState.SENT)
        make_letter(**old)
        make_letter(demonstration=self.home, state=LetterState.SENT)
        assert self.due("letters") == (1, [(1, "Still on its way")])

    def test_slips_invitations_agreements_and_complaints(self):
        evening = self.over(YEAR + DAY)
        moment = NOW - YEAR - DAY
        evening.receipts.create(
            key="8f1d3a52-1111-4222-8333-444455556666", by=self.ann.user, kind="note",
            outcome="kept", words="Dry.", received_at=moment, counts_from=moment,
        )  # fmt: skip
        here = {"demonstration": self.home}
        make_invitation(**here, made_at=NOW - 50 * DAY, expires_at=NOW - 31 * DAY)
        make_invitation(**here, made_at=NOW - 50 * DAY, expires_at=NOW - 29 * DAY)
        open_yet = {"made_at": NOW - 50 * DAY, "expires_at": NOW + 10 * DAY}
        for days in (29, 31):
            ended = NOW - days * DAY
            make_invitation(**here, **open_yet, withdrawn_at=ended)
            make_invitation(**here, **open_yet, taken_at=ended, taken_by=self.ann.user)
        make_invitation(**here, **open_yet)
        words = make_wording(**here, subject=Subject.PHOTOGRAPH)
        longer = NOW - 3 * YEAR - DAY
        make_agreement(
            volunteer=self.ann, wording=words, given_at=longer,
            withdrawn_at=longer, withdrawn_by=self.ann.user,
        )  # fmt: skip
        seen = {"acknowledged_at": longer, "acknowledged_by": self.nora.user}
        make_complaint(
            **here, made_at=longer, closed_at=longer, outcome="Put right", **seen
        )
        make_complaint(**here, made_at=longer)
        assert self.due("invitations") == (3, [])
        for key in ("slips", "agreements"):
            with self.subTest(key=key):
                assert self.due(key) == (1, [])
        assert self.due("complaints") == (1, [(1, "Not ended")])

    def test_a_fixed_number_of_queries(self):
        for _size in range(2):
            with self.assertNumQueries(31):
                selectors.due_report(self.home, NOW)
            fill_once(self.nora if _size else self.ann, by=self.ann.user)


class CarryOutTests(World):
    def test_another_place_is_left_alone(self):
        other = make_letter(queued_at=NOW - 2 * YEAR, state=LetterState.SENT)
        services.tidy(demonstration=self.home, now=NOW)
        other.refresh_from_db()

    def test_only_an_organiser_and_only_what_can_be_due(self):
        with pytest.raises(ValidationError, match="Only an organiser"):
            services.tidy(demonstration=self.home, now=NOW, by=self.ann.user)
        for key in ("book", "no such thing"):
            with pytest.raises(ValidationError, match="ever due"):
                services.tidy_class(demonstration=self.home, key=key, now=NOW)

    def test_a_class_goes_whole_or_not_at_all(self):
        make_letter(
            demonstration=self.home, queued_at=NOW - 2 * YEAR, state=LetterState.SENT
        )
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(Tidying.objects, "create", fail)
            with pytest.raises(RuntimeError):
                services.tidy_class(demonstration=self.home, key="letters", now=NOW)
        assert self.due("letters") == (1, [])

    def test_the_command_only_says_until_it_is_told(self):
        make_letter(
            demonstration=self.home, queued_at=NOW - 2 * YEAR, state=LetterState.SENT
        )
        make_lost_child(demonstration=self.home, delete_on=NOW.date())
        for options in ((), ("--dry-run",)):
            out = StringIO()
            call_command("tidy", *options, stdout=out)
            assert f"{self.home.slug}: letters 1 due" in out.getvalue()
            assert "lost_child 1 held. Not ended" in out.getvalue()
            assert "Nothing was deleted" in out.getvalue()
        out = StringIO()
        call_command("tidy", "--carry-out", stdout=out)
        assert f"{self.home.slug}: deleted letters: 1" in out.getvalue()
        assert self.due("letters") == (0, [])

    def test_finished_tasks_go_where_the_database_keeps_them(self):
        kept = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
        with self.settings(TASKS=kept):
            old = deliver.enqueue(0)
            fresh = deliver.enqueue(0)
            # The library's command reads the clock of the machine itself.
            for result, year in ((old, 2001), (fresh, 2999)):
                DBTaskResult.objects.filter(pk=result.id).update(
                    status="SUCCESSFUL", finished_at=NOW.replace(year=year)
                )
            call_command("tidy", stdout=StringIO())
            assert DBTaskResult.objects.count() == 2
            call_command("tidy", "--carry-out", stdout=StringIO())
        [left] = DBTaskResult.objects.all()
        assert str(left.pk) == fresh.id


def fail(**fields):
    raise RuntimeError


@pytest.mark.any_database
class PageTests(World):
    def test_anybody_reads_the_rules(self):
        page = self.client.get(reverse("privacy:keeping", args=[self.home.slug]))
        text = page.content.decode()
        assert "14 days" in text
        assert "Our own rule" in text

    def test_the_organiser_reads_the_report_before_anything_goes(self):
        make_letter(
            demonstration=self.home, queued_at=NOW - 2 * YEAR, state=LetterState.SENT
        )
        self.client.force_login(self.nora.user)
        page = reverse("privacy:due", args=[self.home.slug])
        assert "1 entry is due for deletion" in self.client.get(page).content.decode()
        unsure = self.client.post(page)
        assert "Please read the list, then tick" in unsure.content.decode()
        done = self.client.post(page, {"sure": "on"}, follow=True).content.decode()
        assert "1 row is deleted." in done
        assert "Nothing is due" in done
        again = self.client.post(page, {"sure": "on"}, follow=True).content.decode()
        assert "Nothing was due" in again
        self.client.force_login(self.ann.user)
        assert self.client.get(page).status_code == 403
