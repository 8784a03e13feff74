"""Evenings outside the days on which the crop is likely ready, and the call's crop."""

from datetime import date

import pytest

from heritage.gatherings.call.selectors import crop_seen
from heritage.gatherings.models import Call, Gathering
from tests.factories import make_gathering, make_observation, make_plot
from tests.gatherings.evening import EveningCase
from tests.gatherings.test_views_runs import typed
from tests.gatherings.test_views_writing import rows

EARLY = "is before the crop is likely ready to pull (24 August to 28 September)"


class CropCase(EveningCase):
    @classmethod
    def setUpTestData(cls):
        """Let the field be sown on 26 May: 90 days later it is 24 August."""
        super().setUpTestData()
        cls.plot = make_plot(demonstration=cls.demonstration, sown_on=date(2026, 5, 26))


class PostingTests(CropCase):
    def post(self, view="post", *args, **changes):
        evening = {
            "title": "Pulling", "stage": "pulling", "day": "2026-08-20",
            "starts": "18:30", "ends": "20:00", "place": "The gate", "post": "1",
        } | changes  # fmt: skip
        return self.send(view, *args, by=self.nora, **evening, **rows({}))

    def test_an_evening_before_the_window_is_posted_with_a_warning(self):
        self.assertContains(self.post(), f"20 August {EARLY}.")
        assert Gathering.objects.filter(title="Pulling").exists()

    def test_one_within_it_or_for_other_work_has_none(self):
        self.assertNotContains(self.post(day="2026-08-26"), "likely ready")
        self.assertNotContains(self.post(stage="cutting_bands"), "likely ready")

    def test_the_plot_itself_is_asked_where_it_is_chosen(self):
        early = make_plot(demonstration=self.demonstration, sown_on=date(2026, 5, 1))
        self.assertNotContains(self.post(plot=early.pk), "before the crop")
        self.assertContains(self.post(plot=self.plot.pk), EARLY)

    def test_the_form_says_when_it_is_likely_ready(self):
        page = self.page("post", by=self.nora)
        self.assertContains(page, "Likely ready to pull: 24 August to 28 September.")

    def test_an_evening_moved_outside_is_moved_with_a_warning(self):
        answer = self.send(
            "put_off", self.gathering.pk, by=self.nora,
            day="2026-10-02", starts="17:30", ends="18:30",
        )  # fmt: skip
        self.assertContains(answer, "2 October is after the crop is likely ready")

    def test_a_run_says_it_beside_each_evening_and_leaves_it_ticked(self):
        page = self.page("post_run", by=self.nora)
        self.assertContains(page, "Likely ready to pull: 24 August")
        data = typed(preview="1") | rows({})
        page = self.send("post_run", by=self.nora, **data)
        self.assertContains(page, "not ready", count=2)
        assert [bool(one.outside) for one, _ticked in page.context["evenings"]] == [
            True,
            True,
            False,
            False,
        ]
        assert all(ticked for _one, ticked in page.context["evenings"])
        data = typed(preview="1", stage="carting") | rows({})
        page = self.send("post_run", by=self.nora, **data)
        self.assertNotContains(page, "not ready")


@pytest.mark.any_database
class CallTests(CropCase):
    key = "8b5e1c6a-53a5-4b53-9d3c-0d3d3bb5b0aa"
    fair = {"rain_mm_per_h": "0", "wind": "4", "canopy_wet_mm": "0", "temp_c": "16"}

    def call(self, **data):
        data = {"key": self.key, "wind_in": "mph"} | self.fair | data
        return self.send("call", self.gathering.pk, by=self.liam, **data)

    def test_a_green_crop_and_soft_ground_advise_to_hold(self):
        page = self.call(weigh="1", crop_is_green="1")
        self.assertContains(page, "The crop is not ready to pull yet.")
        assert page.context["advice"].decision == "hold"
        page = self.call(weigh="1", ground_is_soft="1")
        self.assertContains(page, "The ground is soft")
        assert page.context["advice"].decision == "hold"

    def test_a_lodged_crop_is_said_and_the_advice_stays(self):
        page = self.call(weigh="1", lodged_percent="40")
        self.assertContains(page, "About 40 % of the crop has fallen over")
        assert page.context["advice"].decision == "go"

    def test_what_was_weighed_is_kept_in_words(self):
        self.call(
            decide="1", decision="go", crop_is_green="0", ground_is_soft="1",
            lodged_percent="25", note="Carts stay on the lane.",
        )  # fmt: skip
        words = Call.objects.get().conditions_in_words
        for said in ("crop ready", "ground soft", "25 % lying flat"):
            assert said in words

    def test_nothing_said_of_the_crop_changes_nothing(self):
        page = self.call(weigh="1")
        assert page.context["advice"].decision == "go"
        assert "crop_is_green" not in page.context["advice"].conditions

    def test_the_form_begins_with_what_was_seen(self):
        make_observation(plot=self.plot, seen_on=date(2026, 8, 10), lodged=30)
        page = self.page("call", self.gathering.pk, by=self.liam)
        self.assertContains(page, '<option value="1" selected>not yet: stems still')
        self.assertContains(page, 'value="30"')

    def test_other_work_is_not_asked_about_the_crop(self):
        carting = make_gathering(demonstration=self.demonstration, stage="carting")
        assert crop_seen(carting) == {}
        page = self.page("call", carting.pk, by=self.nora)
        self.assertContains(page, "ground_is_soft")
        self.assertNotContains(page, "crop_is_green")
        hackling = make_gathering(demonstration=self.demonstration, stage="hackling")
        page = self.page("call", hackling.pk, by=self.nora)
        self.assertNotContains(page, "ground_is_soft")
