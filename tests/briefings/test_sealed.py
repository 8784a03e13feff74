"""What somebody heard is neither forged nor backdated, whoever asks the database."""

from contextlib import contextmanager
from datetime import timedelta

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.migrations.state import ProjectState
from django.test import TestCase

from heritage.briefings.models import Acknowledgement, BriefingVersion, HeardHow
from heritage.common.triggers import KeepRules, OnlyIf, WrittenOnce
from tests.factories import (
    NOW,
    make_acknowledgement,
    make_briefing,
    make_briefing_version,
    make_demonstration,
    make_machine_check,
    make_plot,
    make_user,
    make_volunteer,
)

LATER = timedelta(hours=1)


class SealedTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.ann = make_volunteer(demonstration=cls.place)
        cls.version = make_briefing_version(
            briefing=make_briefing(demonstration=cls.place), published_at=NOW
        )

    @contextmanager
    def refused(self, match):
        with pytest.raises(IntegrityError, match=match), transaction.atomic():
            yield

    def hear(self, **fields):
        said = {"version": self.version, "volunteer": self.ann, "heard_at": NOW}
        return make_acknowledgement(**(said | fields))

    def test_nobody_heard_a_version_before_it_was_published(self):
        with self.refused("before it was published"):
            self.hear(heard_at=NOW - timedelta(seconds=1))
        assert self.hear().heard_at == NOW

    def test_when_and_how_and_by_whom_is_never_changed(self):
        heard = self.hear()
        other = make_briefing_version(briefing=self.version.briefing, published_at=NOW)
        for change in (
            {"heard_at": NOW + LATER},
            {"how": HeardHow.PAPER},
            {"in_short": True},
            {"recorded_by": make_user()},
            {"version": other},
        ):
            with self.refused("never changed"):
                Acknowledgement.objects.filter(pk=heard.pk).update(**change)
        heard.refresh_from_db()
        assert (heard.heard_at, heard.version) == (NOW, self.version)

    def test_a_merged_line_takes_along_what_was_heard(self):
        heard, same = self.hear(), make_volunteer(demonstration=self.place)
        assert Acknowledgement.objects.update(volunteer=same) == 1
        heard.refresh_from_db()
        assert heard.volunteer == same
        heard.delete()

    def test_on_a_screen_nobody_answers_for_somebody_else(self):
        other = make_volunteer(demonstration=self.place)
        paper = make_volunteer(demonstration=self.place, user=None)
        for who in (self.ann, paper):
            with self.refused("only for themselves"):
                self.hear(volunteer=who, how=HeardHow.SCREEN, recorded_by=other.user)
        child = make_volunteer(
            demonstration=self.place, user=None, guardian=other, age_band="from_13"
        )
        for who in (child, other):
            self.hear(volunteer=who, how=HeardHow.SCREEN, recorded_by=other.user)
        self.hear(volunteer=paper, how=HeardHow.ALOUD, recorded_by=other.user)

    def test_published_words_and_the_check_of_a_day_stay_as_they_are(self):
        check = make_machine_check()
        with self.refused("only ever added to"):
            BriefingVersion.objects.update(content={"title": "Milder"})
        with self.refused("only ever added to"):
            self.version.delete()
        with self.refused("only ever added to"):
            type(check).objects.update(may_run=True, missing=[])
        with self.refused("only ever added to"):
            check.delete()

    def test_the_operations_go_both_ways_and_quote_their_words(self):
        state, editor = ProjectState(), connection.schema_editor(atomic=False)
        renamed = WrittenOnce("season_plot", ["name"], "It's never renamed.")
        big = OnlyIf("season_plot", "big", "NEW.area_m2 > 10", "Plots aren't small.")
        once, only = KeepRules([renamed]), KeepRules([big])
        for operation in (once, only):
            operation.state_forwards("season", state)
            operation.database_forwards("season", editor, state, state)
            operation.database_forwards("season", editor, state, state)
        assert only.describe() == "season_plot: Plots aren't small."
        with self.refused("Plots aren't small"):
            make_plot(area_m2=5)
        plot = make_plot(area_m2=50)
        with self.refused("It's never renamed"):
            type(plot).objects.filter(pk=plot.pk).update(name="Another")
        for operation in (once, only):
            operation.database_backwards("season", editor, state, state)
        make_plot(area_m2=5)
        assert type(plot).objects.filter(pk=plot.pk).update(name="Another") == 1
