"""The call filled in from a forecast: on a press, never over what was typed."""

from datetime import timedelta

import pytest
from django.core.cache import cache
from django.test import TestCase, override_settings
from django.urls import reverse

from heritage.gatherings.call import services
from heritage.gatherings.models import Call, Decision
from heritage.kits.forecast import ForecastError
from tests.factories import (
    NOW,
    make_demonstration,
    make_gathering,
    make_station,
    make_volunteer,
)
from tests.met_server import feature, hours_from, met_server

HOUR = timedelta(hours=1)
START = NOW.replace(minute=0) + HOUR


class ForecastCallTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.lead = make_volunteer(demonstration=cls.place, name="Orla Fenn")
        cls.gathering = make_gathering(
            demonstration=cls.place,
            lead=cls.lead,
            starts_at=START,
            ends_at=START + 2 * HOUR,
        )
        make_station(gathering=cls.gathering)

    def setUp(self):
        cache.clear()
        patch = self.enterContext(pytest.MonkeyPatch.context())
        patch.setattr("heritage.common.clock.now", lambda: NOW)
        self.server = self.enterContext(met_server())
        self.enterContext(
            override_settings(
                FORECAST_URL=self.server.url, FORECAST_CONTACT="nora@example.org"
            )
        )
        self.forecast()
        self.path = reverse(
            "gatherings:call", args=[self.place.slug, self.gathering.pk]
        )
        self.client.force_login(self.lead.user)

    def forecast(self, made_at=NOW - HOUR, start=NOW - 2 * HOUR, **said):
        hours = hours_from(start.replace(minute=0), 10, **said)
        self.server.body = feature(made_at, hours)

    def press(self, **data):
        data = {"wind_in": "mph", "key": "2f1d0a52-4a65-4c5a-9a5c-0d6a3c1b7e10"} | data
        return self.client.post(self.path, data)

    def test_a_press_fills_the_empty_fields_and_weighs_them(self):
        self.forecast(rain=0.4, wind=4.4704, temp=16)
        page = self.press(forecast="1", temp_c="12.5")
        form = page.context["form"]
        assert form["rain_mm_per_h"].value() == "0.4"
        assert form["wind"].value() == "10.0"
        assert form["temp_c"].value() == "12.5"
        self.assertContains(page, "The advice is")
        self.assertContains(page, "rain for 19:00, read at 18:40")
        self.assertContains(page, "MET Norway, CC BY 4.0")
        assert not Call.objects.exists()

    def test_a_press_keeps_the_rain_of_every_hour_for_the_days_after(self):
        self.forecast(rain=0.4)
        self.press(forecast="1")
        kept = self.place.rain_ahead
        assert (kept.read_at, len(kept.hours)) == (NOW, 10)
        assert kept.most_between(START, START + 2 * HOUR) == 0.4
        assert kept.most_between(START, START + 24 * HOUR) is None

    def decide(self, **more):
        form = self.press(forecast="1").context["form"]
        data = {name: form[name].value() or "" for name in form.fields}
        return self.press(**data | {"decide": "1", "decision": "go"} | more)

    def test_the_call_says_what_was_forecast_and_what_was_typed(self):
        self.decide(temp_c="14", note="Dry under the hedge.")
        made = Call.objects.get()
        assert set(made.sources) == {"rain_mm_per_h", "wind_ms", "relative_humidity"}
        assert made.sources["rain_mm_per_h"] == {"hour": "19:00", "read": "18:40"}
        words = made.conditions_in_words
        assert "rain 0 mm an hour (forecast for 19:00, read at 18:40)" in words
        assert "14 °C" in words
        page = self.client.get(self.path)
        self.assertContains(page, "(forecast for 19:00, read at 18:40)")

    def test_a_wind_read_in_another_unit_is_the_forecasts_no_more(self):
        self.decide(wind_in="kmh", note="So it is.")
        assert "wind_ms" not in Call.objects.get().sources

    def test_what_was_not_signed_here_is_taken_as_typed(self):
        self.decide(foreseen="made-up", note="So it is.")
        assert Call.objects.get().sources == {}

    def test_forecast_thunder_never_advises_to_go_ahead(self):
        self.forecast(symbol="heavyrainshowersandthunder")
        page = self.press(forecast="1", canopy_wet_mm="0")
        assert page.context["advice"].decision == Decision.HOLD
        self.assertContains(page, "Thunder is forecast for 19:00")
        self.decide(note="")
        assert not Call.objects.exists()
        self.decide(note="The school is open for shelter.")
        assert Call.objects.get().advice == Decision.HOLD

    def test_no_failure_blocks_a_decision(self):
        """Whatever the service does, what was typed stays and can be decided on."""
        failures = [
            {"status": 500},
            {"status": 429},
            {"status": 403},
            {"body": b"<html>"},
            {"body": feature(NOW - HOUR, [])},
            {"body": feature(NOW - 25 * HOUR, hours_from(NOW - 2 * HOUR, 10))},
        ]
        for failure in failures:
            cache.clear()
            self.server.status = 200
            vars(self.server).update(failure)
            page = self.press(forecast="1", rain_mm_per_h="0.3")
            self.assertContains(page, "Nothing was filled in")
            assert page.context["form"]["rain_mm_per_h"].value() == "0.3"
        said = {"decision": "off", "why_off": "wet_crop", "note": "Wet."}
        self.press(decide="1", rain_mm_per_h="0.3", **said)
        assert Call.objects.get().decision == Decision.OFF

    def test_it_is_asked_for_again_only_when_it_has_expired(self):
        self.server.headers = {
            "Last-Modified": "Wed, 12 Aug 2026 16:58:00 GMT",
            "Expires": "Wed, 12 Aug 2026 18:10:00 GMT",
        }
        for minutes in (0, 20):
            services.read_forecast(self.gathering, NOW + minutes * HOUR / 60)
        assert len(self.server.asked) == 1
        self.server.status = 304
        found = services.read_forecast(self.gathering, NOW + HOUR)
        assert len(self.server.asked) == 2
        assert found.readings["temp_c"].value == 15.5

    def test_a_first_answer_of_not_changed_is_no_forecast(self):
        self.server.status = 304
        with pytest.raises(ForecastError, match="broken"):
            services.read_forecast(self.gathering, NOW)

    def test_it_is_off_by_default_and_off_without_a_contact(self):
        with override_settings(FORECAST_CONTACT=""):
            self.assertNotContains(self.client.get(self.path), "Use the forecast")
            page = self.press(forecast="1")
            self.assertContains(page, "could not be read")
        assert self.server.asked == []
        self.assertContains(self.client.get(self.path), "Use the forecast")
        assert self.server.asked == []
