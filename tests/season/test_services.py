"""Demonstrations, plots and stages: what is kept and what is refused."""

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.test import TestCase

from heritage.season import services
from heritage.season.models import AreaMeasure, Plot, Stage
from tests.factories import NOW, make_demonstration, make_plot

FIELDS = {
    "name": "Flax at Lintholm",
    "year": 2026,
    "place_name": "Lintholm",
    "latitude": Decimal("54.6"),
    "longitude": Decimal("-6.4"),
    "jurisdiction": "ni",
}


class CreateTests(TestCase):
    def create(self, **fields):
        return services.create_demonstration(now=NOW, **FIELDS | fields)

    def test_the_address_is_made_from_name_and_year(self):
        assert self.create().slug == "flax-at-lintholm-2026"

    def test_a_year_in_the_name_is_not_said_twice(self):
        assert self.create(name="Lintholm 2026").slug == "lintholm-2026"

    def test_each_demonstration_has_an_address_of_its_own(self):
        slugs = [self.create().slug for _ in range(3)]
        assert len(set(slugs)) == 3
        assert slugs[2] == "flax-at-lintholm-2026-3"

    def test_a_name_without_letters_still_has_an_address(self):
        assert self.create(name="亜麻").slug == "2026"

    def test_latitude_95_is_refused_by_its_field(self):
        with pytest.raises(ValidationError) as refusal:
            self.create(latitude=Decimal(95))
        assert "latitude" in refusal.value.message_dict

    def test_an_unknown_time_zone_is_refused_by_its_field(self):
        with pytest.raises(ValidationError, match="Write it like Europe/London"):
            self.create(time_zone="Mars/Olympus")

    def test_the_address_stays_when_the_name_changes(self):
        made = self.create()
        services.change_demonstration(demonstration=made, name="Another name")
        made.refresh_from_db()
        assert (made.name, made.slug) == ("Another name", "flax-at-lintholm-2026")

    def test_a_change_is_checked_too(self):
        with pytest.raises(ValidationError, match="60"):
            services.change_demonstration(
                demonstration=self.create(), beets_per_stook=61
            )


class PlotTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()

    def add(self, **fields):
        fields = {"name": "A", "area": Decimal(1), "measure": "acre"} | fields
        return services.keep_plot(plot=Plot(demonstration=self.demonstration), **fields)

    def test_an_acre_is_kept_in_square_metres(self):
        assert self.add().area_m2 == Decimal("4046.86")

    def test_every_measure_can_be_given_and_read_back(self):
        for measure in AreaMeasure.values:
            plot = self.add(name=measure, area=Decimal("1.5"), measure=measure)
            assert services.in_measure(plot) == pytest.approx(
                Decimal("1.5"), abs=Decimal("0.001")
            )

    def test_no_area_is_refused_by_its_field(self):
        with pytest.raises(ValidationError) as refusal:
            self.add(area=Decimal(0))
        assert list(refusal.value.message_dict) == ["area"]

    def test_two_plots_of_a_name_are_refused(self):
        self.add()
        with pytest.raises(ValidationError, match="with that name"):
            self.add()

    def test_a_plot_changes_with_its_measure(self):
        plot = services.keep_plot(
            plot=self.add(), area=Decimal(2), measure="rood", name="B"
        )
        plot.refresh_from_db()
        assert (plot.name, plot.area_m2) == ("B", Decimal("2023.43"))
        assert plot.entered_in == "rood"


class StageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.demonstration = make_demonstration()

    def record(self, **fields):
        return services.record_stage(
            demonstration=self.demonstration, stage=Stage.PULLING, **fields
        )

    def test_a_second_record_writes_over_the_first(self):
        first = self.record(planned_from=date(2026, 8, 3))
        again = self.record(started_on=date(2026, 8, 4))
        assert (first.pk, again.planned_from) == (again.pk, None)

    def test_no_plan_runs_backward(self):
        with pytest.raises(ValidationError, match="on or after"):
            self.record(planned_from=date(2026, 8, 3), planned_to=date(2026, 8, 1))

    def test_a_stage_that_ended_began(self):
        with pytest.raises(ValidationError, match="Enter when it began, too"):
            self.record(finished_on=date(2026, 8, 3))

    def test_a_plot_of_nothing_is_refused_by_the_database(self):
        from django.db import IntegrityError, transaction

        with pytest.raises(IntegrityError), transaction.atomic():
            make_plot(demonstration=self.demonstration, area_m2=Decimal(0))
