"""The growing page, the sowing, the observations and the temperatures, as pages."""

import re
from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from unittest import mock

import pytest
from django.core.cache import cache
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase, override_settings
from django.urls import reverse

from heritage.growth.models import Observation, Sowing, WarmDay
from heritage.growth.services import remove_observation
from heritage.growth.warmth.selectors import DayOfWarmth
from heritage.growth.warmth.services import take_in_days
from heritage.pictures.forms import DescriptionForm
from heritage.pictures.models import Picture
from tests.briefings.test_sheets import text_of
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_observation,
    make_organiser,
    make_picture,
    make_plot,
    make_volunteer,
    make_warm_day,
)
from tests.met_server import feature, hours_from, met_server

SOWN = date(2026, 4, 25)
TODAY = date(2026, 8, 12)


class PageCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.here = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.here)
        cls.ann = make_volunteer(demonstration=cls.here, name="Ann Rush")
        cls.plot = make_plot(demonstration=cls.here, sown_on=SOWN, name="Low field")

    def setUp(self):
        clock = mock.patch("heritage.common.clock.now", return_value=NOW)
        clock.start()
        self.addCleanup(clock.stop)
        self.client.force_login(self.nora.user)

    def url(self, view, *args):
        return reverse(f"growth:{view}", args=[self.here.slug, *args])

    def words(self, view, *args):
        answer = self.client.get(self.url(view, *args))
        assert answer.status_code == 200
        return re.sub(r"\s+", " ", answer.content.decode())

    def send(self, view, *args, **fields):
        return self.client.post(self.url(view, *args), fields, follow=True)


class GrowingTests(PageCase):
    def test_the_page_says_when_to_pull_and_draws_it(self):
        words = self.words("growing")
        assert "likely about 3 August, between 24 July and 28 August" in words
        assert 'class="drawing"' in words
        assert "Bands: about" in words
        assert "McSorley" in words

    def test_without_a_plot_it_says_what_to_do(self):
        self.plot.delete()
        assert "No plot is set up yet" in self.words("growing")
        assert "Add a plot" in self.words("observe")
        self.client.force_login(self.ann.user)
        assert "Ask an organiser" in self.words("observe")

    def test_the_filled_act_is_the_sowing_until_it_is_known(self):
        saw = f'class="act" href="{self.url("observe")}"'
        sowing = f'class="act" href="{self.url("sow", self.plot.pk)}"'
        assert saw in self.words("growing")
        self.plot.sown_on = None
        self.plot.save()
        page = self.words("growing")
        assert "Say when a plot was sown" in page
        assert sowing in page
        assert saw not in page
        # Who may not write it down adds what is seen.
        self.client.force_login(self.ann.user)
        page = self.words("growing")
        assert saw in page
        assert sowing not in page

    def test_a_name_is_never_markup(self):
        self.plot.name = "<b>Low</b>"
        self.plot.save()
        assert "<b>Low" not in self.words("growing")

    def test_the_sheet_says_when_to_pull_and_has_rows_to_write_in(self):
        for print_ in ({}, {"large": "1"}):
            answer = self.client.get(self.url("growing_sheet"), print_)
            words = text_of(answer.content)
            assert "between 24 July and 28 August" in words
            assert "Bolls: take 20" in words
            assert "When we stop" in words
            assert "What we saw" in words

    def test_visitors_do_not_see_it(self):
        self.client.logout()
        for view in ("growing", "observations", "observe", "warmth"):
            assert self.client.get(self.url(view)).status_code == 302
        self.client.force_login(make_volunteer().user)
        assert self.client.get(self.url("growing")).status_code == 403


class SowingTests(PageCase):
    def test_a_sowing_is_written_down_and_what_is_unusual_is_said(self):
        answer = self.send(
            "sow", self.plot.pk, sown_on="2026-06-20", seed="30", seed_in="g_m2",
            thousand_seed_g="5", way="drilled", row_cm="10", variety="Blue Lint",
        )  # fmt: skip
        words = answer.content.decode()
        assert "Sowing saved." in words
        assert "Thick: about 6000 seeds" in words
        assert "Sown 20 days after the usual weeks" in words
        row = Sowing.objects.get()
        assert (row.kg_per_ha, row.plot.sown_on) == (300, date(2026, 6, 20))
        assert 'value="300.0"' in self.words("sow", self.plot.pk)

    def test_bad_input_is_said_by_its_field_and_nothing_typed_is_lost(self):
        answer = self.send(
            "sow", self.plot.pk, seed="5000", seed_in="kg_ha", variety="Blue Lint"
        )
        words = answer.content.decode()
        assert "That is 5000 kg a hectare; about 100 is usual" in words
        assert 'value="Blue Lint"' in words
        assert not Sowing.objects.exists()
        answer = self.send("sow", self.plot.pk, seed="much", seed_in="kg_ha")
        assert "Enter a number" in answer.content.decode()

    def test_a_lead_may_and_a_volunteer_may_not(self):
        make_gathering(demonstration=self.here, lead=self.ann)
        for who, status in (
            (self.ann, 200),
            (make_volunteer(demonstration=self.here), 404),
        ):
            self.client.force_login(who.user)
            for address in (self.url("sow", self.plot.pk), self.url("warmth")):
                assert self.client.get(address).status_code == status


class ObservingTests(PageCase):
    def see(self, *args, view="observe", **fields):
        usual = {"plot": self.plot.pk, "seen_on": "2026-08-12"}
        return self.send(view, *args, **usual | fields)

    def test_two_presses_write_down_a_flower(self):
        self.client.force_login(self.ann.user)
        assert self.url("observe") in self.words("growing")
        page = self.words("observe")
        assert 'value="2026-08-12"' in page
        assert f'name="plot" value="{self.plot.pk}"' in page
        self.see(flower="start")
        row = Observation.objects.get()
        assert (row.flower, row.seen_on, row.by) == ("start", TODAY, self.ann.user)
        assert "first flowers open." in self.words("growing")

    def test_a_frame_is_counted_as_people_write_it(self):
        self.see(frame_m2="0.1", counts="165, 170  175")
        assert Observation.objects.get().counts == [165, 170, 175]
        assert "about 1700 plants a square metre" in self.words("growing")

    def test_bad_input_is_said_and_nothing_typed_is_lost(self):
        for fields, said in (
            ({}, "Say at least one thing that you saw."),
            ({"counts": "many", "frame_m2": "0.1"}, "“many” is no count"),
            ({"counts": "170"}, "Give both: the size of the frame"),
            ({"height_cm": "900"}, "Enter 200 or less"),
            ({"flower": "start", "seen_on": "2026-08-13"}, "in the future"),
            ({"flower": "start", "seen_on": "2026-04-24"}, "sown on 25.04.2026"),
            ({"bolls_green": "0"}, "at least one boll"),
            ({"flower": "blue"}, "Choose one from the list"),
        ):
            with self.subTest(said):
                words = self.see(note="", **fields).content.decode()
                assert said in words
                for value in fields.values():
                    assert value in words
        assert not Observation.objects.exists()

    def test_another_demonstrations_plot_is_no_choice(self):
        words = self.see(plot=make_plot().pk, flower="start").content.decode()
        assert "Choose one from the list" in words
        assert not Observation.objects.exists()

    def test_a_plot_is_chosen_where_there_are_several(self):
        other = make_plot(demonstration=self.here)
        answer = self.client.get(self.url("observe"), {"plot": other.pk})
        assert f'<option value="{other.pk}" selected' in answer.content.decode()
        self.see(plot=other.pk, lodged="10")
        assert Observation.objects.get().plot == other

    def test_sent_twice_it_is_written_once(self):
        key = re.search(r'name="key" value="([^"]+)"', self.words("observe"))[1]
        self.see(key=key, flower="full")
        self.see(key=key, flower="full")
        assert Observation.objects.count() == 1

    def test_ones_own_is_changed_and_anothers_is_not(self):
        mine = make_observation(plot=self.plot, by=self.ann.user, seen_on=TODAY)
        hers = make_observation(plot=self.plot, by=self.nora.user, seen_on=TODAY)
        self.client.force_login(self.ann.user)
        self.see(mine.pk, view="edit_observation", height_cm="85")
        mine.refresh_from_db()
        assert mine.height_cm == 85
        address = self.url("edit_observation", hers.pk)
        assert self.client.get(address).status_code == 404
        assert self.url("edit_observation", mine.pk) in self.words("observations")
        assert address not in self.words("observations")
        self.client.force_login(self.nora.user)
        self.send("edit_observation", mine.pk, away="1")
        assert not Observation.objects.filter(pk=mine.pk).exists()

    def test_all_that_was_seen_goes_out_as_csv(self):
        make_observation(plot=self.plot, frame_m2=Decimal("0.1"), counts=[1, 2])
        make_observation(plot=self.plot, flower="full", weeds="few", note="=1+1")
        answer = self.client.get(self.url("observations_csv"))
        lines = b"".join(answer).decode("utf-8-sig").splitlines()
        assert lines[0].startswith("seen on,plot,flower,height in centimetres")
        assert "in full flower" in lines[1]
        assert "'=1+1" in lines[1]
        assert ",0.1,1 2," in lines[2]

    def test_pages_ask_the_same_whatever_the_season(self):
        def queries():
            with self.assertNumQueries(10):
                self.client.get(self.url("growing"))
            # One of them for the pictures of all that is shown.
            with self.assertNumQueries(8):
                self.client.get(self.url("observations"))

        make_observation(plot=self.plot)
        queries()
        for _n in range(12):
            make_observation(plot=make_plot(demonstration=self.here, sown_on=SOWN))
        queries()


class WarmthTests(PageCase):
    def file(self, text, **fields):
        upload = SimpleUploadedFile("days.csv", text.encode())
        return self.send("warmth", of_file="1", file=upload, **fields).content.decode()

    def test_a_day_is_typed(self):
        answer = self.send("warmth", day="2026-08-11", tmin_c="9.5", tmax_c="18")
        assert "1 day is kept." in answer.content.decode()
        assert WarmDay.objects.get().tmax_c == 18
        assert "1 day since 11 August" in self.words("warmth")

    def test_a_day_that_cannot_be_is_said_by_its_field(self):
        for fields, said in (
            ({"tmin_c": "20", "tmax_c": "10"}, "Are they swapped?"),
            ({"tmin_c": "50", "tmax_c": "70"}, "Is that in °F?"),
            ({"tmin_c": "9", "tmax_c": ""}, "Please fill this in."),
            ({"day": "2026-08-13", "tmin_c": "9", "tmax_c": "12"}, "in the future"),
        ):
            with self.subTest(said):
                answer = self.send("warmth", **{"day": "2026-08-11"} | fields)
                assert said in answer.content.decode()
        assert not WarmDay.objects.exists()

    def test_a_file_is_taken_whole(self):
        make_warm_day(demonstration=self.here, day=date(2026, 6, 1), tmax_c=30)
        text = "day;max;min\n2026-06-01;19,5;8\n02/06/2026;20;9\n"
        assert "2 days are kept." in self.file(text)
        days = WarmDay.objects.of(self.here).in_order()
        assert [(one.day.day, one.tmin_c, one.tmax_c) for one in days] == [
            (1, 8, Decimal("19.5")),
            (2, 9, 20),
        ]

    def test_a_line_that_cannot_be_read_stops_it_unless_it_is_left_out(self):
        text = (
            "day,min,max\n2026-06-01,8,19\n2026-06-05,8,9\nnothing\n2026-06-03,8\n"
            "2026-06-04,50,70\n2026-06-06,9,5\n"
        )
        words = self.file(text)
        for said in (
            "Line 4: there is no day",
            "Line 5: two temperatures",
            "Line 6: 70.0 °C is hotter",
            "Line 7: the lowest is above",
        ):
            assert said in words
        assert not WarmDay.objects.exists()
        assert "2 days are kept." in self.file(text, skip="on")

    def test_what_is_no_table_is_refused(self):
        for text, said in (
            ("", "This file is empty. Choose another."),
            ("\0\0", "We can&#x27;t read this file"),
            ("just words\nand more", "No day with its temperatures"),
            ("day,min,max\n" + "2026-06-01,9,5\n" * 7, "And 2 more."),
            ("2026-08-13,5,9", "in the future"),
        ):
            with self.subTest(said):
                assert said in self.file(text)
        assert "Choose a file." in self.send("warmth", of_file="1").content.decode()
        assert not WarmDay.objects.exists()

    def test_a_logger_that_says_the_hour_too_and_two_columns_of_one_name(self):
        assert "1 day is kept." in self.file("min max,min max\n2026-06-01 00:00,8 °C,9")


@pytest.mark.django_db
def test_of_many_days_the_newest_are_shown(client):
    here = make_demonstration()
    nora = make_organiser(demonstration=here)
    for number in range(20):
        make_warm_day(demonstration=here, day=date(2026, 6, 1) + timedelta(number))
    client.force_login(nora.user)
    words = client.get(reverse("growth:warmth", args=[here.slug])).content.decode()
    assert "20 days since 1 June" in words
    assert words.count('<th scope="row">') == 7


class ForecastDaysTests(PageCase):
    """The met service is our own, on loopback."""

    def setUp(self):
        super().setUp()
        cache.clear()
        self.server = self.enterContext(met_server())
        self.enterContext(
            override_settings(
                FORECAST_URL=self.server.url, FORECAST_CONTACT="nora@example.org"
            )
        )
        first = datetime(2026, 8, 12, 12, tzinfo=UTC)
        hours = hours_from(first, 50)
        for row in hours:
            moment = datetime.fromisoformat(row["time"])
            details = row["data"]["instant"]["details"]
            details["air_temperature"] = 8 + moment.hour / 2
        self.server.body = feature(first, hours)

    def test_whole_days_ahead_are_kept_as_forecast(self):
        """At the place it is an hour later than in UTC, so 23 to 22 is a day there."""
        assert "Fetch the forecast" in self.words("warmth")
        answer = self.send("warmth", fetch="1").content.decode()
        assert "1 day ahead is kept, as forecast." in answer
        (one,) = WarmDay.objects.all()
        assert one.is_forecast
        assert (one.day, one.tmin_c, one.tmax_c) == (
            date(2026, 8, 13),
            8,
            Decimal("19.5"),
        )
        assert "<small>forecast</small>" in self.words("warmth")

    def test_a_measured_day_takes_a_forecasts_place_and_never_the_other_way(self):
        make_warm_day(
            demonstration=self.here, day=date(2026, 8, 13), tmax_c=25, is_forecast=True
        )
        self.send("warmth", fetch="1")
        assert WarmDay.objects.get().tmax_c == Decimal("19.5")
        WarmDay.objects.update(is_forecast=False, tmax_c=21)
        answer = self.send("warmth", fetch="1").content.decode()
        assert "The forecast could not be read." in answer
        assert WarmDay.objects.get().tmax_c == 21
        take_in_days(
            demonstration=self.here,
            days=[DayOfWarmth(date(2026, 8, 11), Decimal(9), Decimal(18))],
            by=self.nora.user,
            now=NOW,
        )
        assert not WarmDay.objects.filter(is_forecast=True).exists()

    def test_a_service_that_is_silent_is_said_in_words(self):
        self.server.body = {"type": "nothing"}
        answer = self.send("warmth", fetch="1").content.decode()
        assert "Type the temperatures, or try again later." in answer
        assert not WarmDay.objects.exists()

    def test_without_a_service_there_is_no_button(self):
        with override_settings(FORECAST_URL=""):
            assert "Fetch the forecast" not in self.words("warmth")
            assert (
                "could not be read" in self.send("warmth", fetch="1").content.decode()
            )


class PictureTests(PageCase):
    def test_a_picture_of_what_was_seen_stands_beside_it_and_leads_back(self):
        seen = make_observation(plot=self.plot)
        assert f"?observation={seen.pk}" in self.words("observations")
        picture = make_picture(demonstration=self.here, observation=seen)
        assert picture.small_url in self.words("observations")
        page = self.client.get(picture.get_absolute_url()).content.decode()
        assert reverse("growth:observations", args=[self.here.slug]) in page

    def test_the_picture_stays_when_the_observation_goes(self):
        seen = make_observation(plot=self.plot)
        picture = make_picture(demonstration=self.here, observation=seen)
        remove_observation(observation=seen)
        picture.refresh_from_db()
        assert picture.observation is None

    def test_another_demonstrations_observation_cannot_be_pictured(self):
        other = make_observation()
        form = DescriptionForm(
            {"observation": other.pk},
            instance=Picture(demonstration=self.here),
            reader=self.nora.user,
        )
        assert "observation" in form.errors
