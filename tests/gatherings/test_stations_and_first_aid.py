"""What a station asks when it is posted; the first-aider; moving to another day."""

from datetime import date, timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError

from heritage.gatherings import services
from heritage.gatherings.asked import selectors
from heritage.gatherings.models import Gathering, GatheringStatus
from heritage.gatherings.services import StationPlan
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_competence,
    make_gathering,
    make_sign_up,
    make_skill,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase
from tests.gatherings.test_services_posting import details, plan
from tests.gatherings.test_views_writing import rows, typed


class StationTests(EveningCase):
    def post(self, **row):
        data = typed() | rows({"title": "Pull", "places": "6"} | row)
        return self.send("post", by=self.nora, **data)

    def station(self):
        return Gathering.objects.get(title="Pulling by the burn").stations.get()

    def test_fewest_and_competence_are_kept(self):
        able = make_competence(demonstration=self.demonstration)
        self.post(fewest="4", competence=able.pk)
        assert (self.station().fewest, self.station().competence) == (4, able)

    def test_no_fewest_is_none(self):
        self.post()
        assert (self.station().fewest, self.station().competence) == (0, None)

    def test_more_fewest_than_places_names_its_field_and_unfolds_it(self):
        response = self.post(fewest="7")
        (row,) = response.context["rows"]
        assert set(row.errors) == {"fewest"}
        self.assertContains(response, "cannot be more than the 6 places")
        self.assertContains(response, "<details open>")
        self.assertContains(response, 'value="7"')

    def test_another_demonstrations_competence_names_its_field(self):
        response = self.post(competence=make_competence().pk)
        (row,) = response.context["rows"]
        assert set(row.errors) == {"competence"}

    def test_the_fold_says_what_is_asked(self):
        able = make_competence(demonstration=self.demonstration, title="Drives")
        self.pull.fewest, self.pull.competence = 1, able
        self.pull.save()
        page = self.page("edit", self.gathering.pk, by=self.nora)
        self.assertContains(page, "from 13; at least 1; Drives")

    def test_a_service_refuses_what_a_form_would(self):
        with pytest.raises(ValidationError, match="Choose a skill from the list"):
            self.keep(plan(competence=make_competence()))
        with pytest.raises(ValidationError, match="cannot be more than the places"):
            self.keep(plan(places=3, fewest=4))

    def keep(self, *stations: StationPlan, **changes):
        return services.post(
            demonstration=self.demonstration,
            details=details(**changes),
            stations=stations or [plan()],
            now=NOW,
        )

    def test_rows_cost_no_queries_of_their_own(self):
        make_competence(demonstration=self.demonstration)
        self.be(self.nora)
        for number in (1, 9):
            data = typed() | rows(*[{"title": f"Job {n}"} for n in range(number)])
            with self.assertNumQueries(14):
                self.client.post(self.url("post"), data | {"add": "1"})


class FirstAiderTests(EveningCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        aid = make_competence(demonstration=cls.demonstration, is_first_aid=True)
        cls.skill = make_skill(
            volunteer=cls.cat, competence=aid, runs_out_on=date(2026, 8, 14)
        )
        make_skill(volunteer=cls.bob, competence=aid, confirmed_by=None)
        cls.first_aid = aid

    def post(self, **changes):
        return self.send("post", by=self.nora, **typed(**changes), **rows({}))

    def test_only_those_confirmed_are_offered(self):
        page = self.page("post", by=self.nora)
        offered = page.context["form"].fields["first_aider"].queryset
        assert list(offered) == [self.cat]

    def test_chosen_they_stand_on_the_page(self):
        response = self.post(first_aider=self.cat.name)
        self.assertContains(response, "First-aider")
        self.assertNotContains(response, "No first-aider is chosen")

    def test_none_is_warned_of_and_posted(self):
        response = self.post()
        self.assertContains(response, "is posted.")
        self.assertContains(response, "No first-aider is chosen")

    def test_lead_and_first_aider_in_one_is_warned_of(self):
        response = self.post(first_aider=self.cat.name, lead=self.cat.name)
        self.assertContains(response, "is lead and first-aider")

    def test_first_aid_that_runs_out_before_the_day_names_the_field(self):
        response = self.post(first_aider=self.cat.name, day="2026-08-15")
        assert "first_aider" in response.context["form"].errors
        self.assertContains(response, "must not run out before the day")

    def test_children_and_strangers_are_refused(self):
        here = {"demonstration": self.demonstration}
        young = make_volunteer(
            **here, user=None, guardian=self.ann, age_band=AgeBand.FROM_16
        )
        make_skill(volunteer=young, competence=self.first_aid)
        for who in (young, make_skill(competence=make_competence()).volunteer):
            with pytest.raises(ValidationError, match="cannot be the first-aider"):
                services.post(
                    demonstration=self.demonstration,
                    details=details(first_aider=who),
                    stations=[plan()],
                    now=NOW,
                )

    def test_what_is_not_right_is_said(self):
        row = self.gathering
        row.first_aider = self.cat
        assert selectors.first_aid_warnings(row) == []
        make_sign_up(station=self.tie, volunteer=self.cat)
        self.skill.delete()
        said = " ".join(selectors.first_aid_warnings(row))
        assert "not confirmed" in said
        assert "has a place at a station too" in said

    def test_words_put_right_keep_a_first_aider_whose_time_has_run_out(self):
        """A past evening keeps the first-aider it had, and may still be corrected."""
        self.gathering.first_aider = self.cat
        self.gathering.save()
        self.skill.delete()
        stations = [
            {"station": row.pk, "title": row.title, "kind": row.kind}
            for row in (self.pull, self.tie)
        ]
        data = typed(title="Pulling", day="2026-08-13", first_aider=self.cat.name)
        response = self.send(
            "edit", self.gathering.pk, by=self.nora, **data, **rows(*stations)
        )
        # The times typed are the gathering's own, so only the words have changed.
        self.assertContains(response, "is posted.")
        self.gathering.refresh_from_db()
        assert self.gathering.first_aider == self.cat

    def test_visitors_do_not_read_who_it_is_nor_what_is_missing(self):
        self.gathering.first_aider = self.cat
        self.gathering.save()
        response = self.page("gathering", self.gathering.pk)
        self.assertNotContains(response, "Cat Dow")
        self.assertNotContains(response, "first aid")


@pytest.mark.any_database
class PutOffTests(EveningCase):
    def put_off(self, **changes):
        data = {"day": "2026-08-20", "starts": "18:00", "ends": "20:00"} | changes
        with self.captureOnCommitCallbacks(execute=True):
            return self.send("put_off", self.gathering.pk, by=self.nora, **data)

    def test_it_has_its_new_time_and_everybody_is_told(self):
        self.assertContains(self.put_off(), "has its new time")
        self.gathering.refresh_from_db()
        assert f"{self.gathering.starts_at:%d %H:%M}" == "20 17:00"
        assert self.gathering.sequence == 1
        assert {letter.subject[:8] for letter in mail.outbox} == {"Changed:"}
        assert len(mail.outbox) == 2

    def test_sent_twice_it_is_moved_once(self):
        self.put_off()
        self.put_off()
        self.gathering.refresh_from_db()
        assert (self.gathering.sequence, len(mail.outbox)) == (1, 2)

    def test_the_form_shows_the_time_it_has(self):
        page = self.page("put_off", self.gathering.pk, by=self.nora)
        self.assertContains(page, 'value="2026-08-13"')
        self.assertContains(page, 'value="18:30"')

    def test_a_time_gone_by_names_its_field_and_is_kept(self):
        response = self.put_off(day="2026-08-01")
        assert "day" in response.context["form"].errors
        self.assertContains(response, 'value="2026-08-01"')

    def test_an_end_before_the_start_and_a_skipped_hour_name_their_fields(self):
        assert "ends" in self.put_off(ends="17:00").context["form"].errors
        response = self.put_off(day="2027-03-28", starts="01:30", ends="03:00")
        assert "starts" in response.context["form"].errors

    def test_what_was_called_off_is_not_moved(self):
        self.gathering.status = GatheringStatus.CALLED_OFF
        self.gathering.save()
        self.assertContains(self.put_off(), "been called off")

    def test_what_has_begun_is_not_moved(self):
        self.at(self.gathering.starts_at + timedelta(minutes=1))
        self.assertContains(self.put_off(), "begun or over")

    def test_a_draft_moves_and_nobody_is_told(self):
        draft = make_gathering(
            demonstration=self.demonstration, status=GatheringStatus.DRAFT
        )
        moved = services.put_off(
            gathering=draft,
            starts_at=NOW + timedelta(days=3),
            ends_at=NOW + timedelta(days=3, hours=1),
            now=NOW,
        )
        assert (moved.sequence, moved.is_draft) == (0, True)

    def test_a_lead_may_not_move_it(self):
        assert self.page("put_off", self.gathering.pk, by=self.liam).status_code == 403
