"""The demonstration for show: made whole through the services, safe to make again."""

from datetime import datetime
from io import StringIO

from django.core import mail
from django.core.management import call_command
from django.test import TestCase

from heritage.dam.models import Ret
from heritage.desk.management.carrowlint import read_scenario
from heritage.gatherings.models import (
    Gathering,
    GatheringStatus,
    Pattern,
    Run,
    SignUp,
    SignUpStatus,
)
from heritage.gatherings.selectors import suggestion
from heritage.people.models import AgeBand, HealthNote, Letter, Skill, User, Volunteer
from heritage.pictures.models import Picture
from heritage.safety.models import (
    EmergencyPlan,
    Exit,
    Incident,
    MachineCheck,
    StewardPost,
)
from heritage.season.models import Demonstration
from heritage.tally.models import Entry


class DemoTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.said = cls.show()

    @staticmethod
    def show():
        said = StringIO()
        call_command("demo", "--no-serve", stdout=said)
        return said.getvalue()

    def test_a_season_stands(self):
        assert Volunteer.objects.count() >= 38
        assert Gathering.objects.count() >= 12
        assert Gathering.objects.filter(status=GatheringStatus.CALLED_OFF).count() == 1
        assert Entry.objects.beets() > 300
        assert Entry.objects.filter(corrects__isnull=False).exists()
        assert Ret.objects.get().readings.count() == 12
        assert Picture.objects.published().count() == 15

    def test_the_ret_is_trodden_and_one_turn_has_lost_somebody(self):
        turns = Ret.objects.get().rota.turns
        assert turns.filter(trodden_at__isnull=False).count() == 3
        lost = turns.get(day="2026-08-13", half="evening")
        assert lost.treaders.on().count() == 1
        assert not Letter.objects.queued().exists()

    def test_the_ground_is_laid_out_and_a_missing_guard_stops_a_machine(self):
        assert EmergencyPlan.objects.get().meeting_point
        assert Exit.objects.count() == 3
        checks = MachineCheck.objects.order_by("may_run")
        assert [bool(one.missing) for one in checks] == [True, False]
        assert Skill.objects.claimed().count() == 1
        assert Pattern.objects.count() == 3
        assert StewardPost.objects.filter(volunteer=None).count() == 1
        assert Run.objects.get().gatherings.drafts().count() == 8
        assert Incident.objects.unfinished().count() == 1
        assert Gathering.objects.exclude(first_aider=None).count() == 1
        assert HealthNote.objects.get().delete_on

    def test_the_next_evening_has_gaps_wishes_and_a_place_to_be_answered(self):
        """What a lead has to look at is there to be looked at."""
        (entry,) = SignUp.objects.unanswered()
        assert entry.volunteer.user.email.startswith("volunteer@")
        page = suggestion(
            entry.gathering, datetime.fromisoformat(read_scenario()["now"])
        )
        assert page.short_before > page.short_after
        assert {move.sign_up.status for move in page.moves} >= {SignUpStatus.WAITING}
        fewest = entry.gathering.stations.values_list("fewest", flat=True)
        assert all(fewest)

    def test_children_have_their_guardians(self):
        children = Volunteer.objects.exclude(age_band=AgeBand.ADULT)
        assert children.count() == 3
        assert all(child.guardian for child in children)

    def test_it_says_where_to_look_and_as_whom(self):
        slug = Demonstration.objects.get().slug
        assert f"/at/{slug}/today/" in self.said
        for user in User.objects.all():
            assert user.email in self.said

    def test_nobody_is_written_to_about_a_season_that_never_was(self):
        assert mail.outbox == []

    def test_a_second_run_changes_nothing(self):
        before = Entry.objects.count(), Volunteer.objects.count()
        assert "there already" in self.show()
        assert (Entry.objects.count(), Volunteer.objects.count()) == before
