"""Posting, changing, copying; the call."""

from datetime import timedelta
from uuid import uuid4

from django.core import mail
from django.urls import reverse

from heritage.gatherings.models import (
    TAKE_BACK,
    Call,
    Gathering,
    GatheringStatus,
)
from heritage.people.letters.services import send_due
from heritage.people.models import Letter
from tests.factories import NOW, make_gathering, make_sign_up, make_volunteer
from tests.gatherings.evening import EveningCase


def rows(*stations):
    """Give the stations as the page sends them."""
    data = {"stations-TOTAL_FORMS": len(stations), "stations-INITIAL_FORMS": 0}
    for number, row in enumerate(stations):
        whole = {"kind": "pull", "title": "Pull", "places": 4, "least_age": "from_13"}
        data |= {f"stations-{number}-{k}": v for k, v in (whole | row).items()}
    return data


def typed(**changes):
    return {
        "title": "Pulling by the burn",
        "stage": "pulling",
        "day": "2026-08-14",
        "starts": "18:30",
        "ends": "20:30",
        "place": "The gate on the lane",
    } | changes


class PostTests(EveningCase):
    def post(self, *stations, **changes):
        data = typed(**changes) | rows(*(stations or [{}]))
        return self.send("post", by=self.nora, **data)

    def made(self):
        return Gathering.objects.filter(title="Pulling by the burn")

    def test_the_page_starts_with_an_evening_of_pulling(self):
        response = self.page("post", by=self.nora)
        kinds = [row["kind"].value() for row in response.context["rows"]]
        assert kinds == ["pull", "tie", "lay_bands"]

    def test_it_is_posted_at_the_places_own_time(self):
        response = self.post()
        self.assertContains(response, "is posted.")
        made = self.made().get()
        assert f"{made.starts_at:%H:%M}" == "17:30"
        assert made.stations.get().places == 4

    def test_a_draft_is_kept_for_organisers(self):
        self.assertContains(self.post(draft="1"), "kept as a draft")
        assert self.made().get().is_draft

    def refused(self, *stations, field, words, **changes):
        response = self.post(*stations, **changes)
        assert not self.made().exists()
        self.assertContains(response, words)
        self.assertContains(response, 'value="Pulling by the burn"')
        assert field in response.context["form"].errors

    def test_an_end_before_the_start_names_its_field(self):
        self.refused(ends="18:00", field="ends", words="The end is before the start")

    def test_a_day_gone_by_names_its_field(self):
        self.refused(day="2026-08-01", field="day", words="That time has passed")

    def test_an_evening_past_is_entered_afterwards_and_logged(self):
        """A paper season typed in: posted, who came, beets; no mail and no places."""
        before = len(mail.outbox)
        with self.captureOnCommitCallbacks(execute=True):
            response = self.post(day="2026-08-03", afterwards="on")
        self.assertContains(response, "is entered. Next, say who came.")
        self.assertContains(response, "entered afterwards")
        made = self.made().get()
        assert (made.entered_at, made.is_posted) == (NOW, True)
        with self.captureOnCommitCallbacks(execute=True):
            said = {"somebody": self.ann.name, "their_beets": "7", "way": "hand"}
            self.client.force_login(self.nora.user)
            self.client.post(
                reverse("tally:log", args=[self.demonstration.slug, made.pk]),
                said | {"key": str(uuid4()), "close": "1"},
            )
        assert made.turnout.get().volunteer == self.ann
        assert made.entries.get().beets == 7
        station = made.stations.get()
        page = self.send("sign_up", made.pk, by=self.bob, station=station.pk)
        for offer in ("places left", "Your place", "Make the call", "first-aider"):
            self.assertNotContains(page, offer)
        assert not made.sign_ups.exists()
        call = self.page("call", made.pk, by=self.nora)
        self.assertContains(call, "nothing to decide")
        assert (len(mail.outbox), Letter.objects.count()) == (before, 0)
        listed = self.page("list", by=self.ann)
        self.assertContains(listed, "entered afterwards")

    def test_what_is_not_over_is_not_entered_afterwards(self):
        words = "It isn&#x27;t over yet"
        self.refused(field="afterwards", words=words, afterwards="on")

    def test_a_draft_of_a_past_day_is_entered_when_it_is_posted(self):
        self.post(day="2026-08-03", draft="1", afterwards="on")
        made = self.made().get()
        assert (made.is_draft, made.entered_at) == (True, None)
        data = typed(day="2026-08-03", afterwards="on") | rows(
            {"id": made.stations.get().pk}
        )
        self.send("edit", made.pk, by=self.nora, **data)
        made.refresh_from_db()
        assert (made.is_posted, made.entered_at) == (True, NOW)

    def test_a_time_the_clocks_skip_or_strike_twice_names_its_field(self):
        words = "The clocks go forward"
        self.refused(
            day="2027-03-28", starts="01:30", ends="03:00", field="starts", words=words
        )
        words = "that time comes twice"
        self.refused(
            day="2026-10-25", starts="01:30", ends="03:00", field="starts", words=words
        )

    def test_nothing_typed_names_every_field(self):
        response = self.send("post", by=self.nora, **rows({}))
        needed = {"title", "stage", "day", "starts", "ends", "place"}
        assert set(response.context["form"].errors) == needed

    def test_a_station_without_a_job_or_places_names_its_fields(self):
        response = self.post({"kind": "", "places": ""})
        (row,) = response.context["rows"]
        assert set(row.errors) == {"kind", "places"}
        self.assertContains(response, 'value="Pulling by the burn"')

    def test_no_places_at_all_is_refused(self):
        response = self.post({"places": "0"})
        assert "places" in response.context["rows"].forms[0].errors

    def test_two_stations_of_one_name_are_refused_and_kept(self):
        response = self.post({}, {"title": "pull", "note": "By the burn"})
        self.assertContains(response, "have the same name")
        self.assertContains(response, "By the burn")

    def test_no_station_is_refused(self):
        empty = {"kind": "", "title": "", "places": ""}
        self.assertContains(self.post(empty), "at least one station")

    def test_only_what_may_stay_empty_is_said_to(self):
        response = self.page("post", by=self.nora)
        row = response.context["rows"].forms[0]
        needed = {name for name, field in row.fields.items() if field.required}
        assert needed == {"kind", "places"}
        self.assertContains(response, "from 13</option>")

    def test_a_row_more_keeps_what_was_typed(self):
        response = self.post({"title": "Pullers"}, add="1", day="nonsense")
        assert len(response.context["rows"].forms) == 2
        self.assertContains(response, 'value="Pullers"')
        self.assertContains(response, 'value="nonsense"')
        self.assertNotContains(response, 'class="error"')

    def test_a_row_more_bears_a_count_that_is_none(self):
        data = typed() | rows({}) | {"stations-TOTAL_FORMS": "many", "add": "1"}
        response = self.send("post", by=self.nora, **data)
        assert len(response.context["rows"].forms) == 1
        self.assertContains(response, 'value="Pulling by the burn"')

    def test_a_station_without_a_name_is_called_after_its_job(self):
        self.post({"kind": "tie", "title": ""})
        assert self.made().get().stations.get().title == "Tie"


class EditTests(EveningCase):
    def edit(self, by=None, **changes):
        stations = [
            {"station": row.pk, "title": row.title, "kind": row.kind}
            for row in (self.pull, self.tie)
        ]
        data = typed(title="Pulling by the lane", day="2026-08-13", bring="Gloves")
        data |= rows(*stations) | changes
        return self.send("edit", self.gathering.pk, by=by or self.nora, **data)

    def test_the_page_shows_what_was_posted(self):
        response = self.page("edit", self.gathering.pk, by=self.nora)
        self.assertContains(response, 'value="18:30"')
        self.assertContains(response, 'value="2026-08-13"')

    def test_a_change_is_kept(self):
        self.assertContains(self.edit(bring="Boots"), "Boots")

    def test_a_station_is_not_taken_from_under_people(self):
        response = self.edit(**{"stations-0-remove": "on"})
        self.assertContains(response, "People are signed up for Pull")

    def test_an_empty_station_is_taken_away(self):
        self.edit(**{"stations-1-remove": "on"})
        assert [row.title for row in self.gathering.stations.all()] == ["Pull"]

    def test_another_gatherings_station_is_refused(self):
        other = make_gathering(demonstration=self.demonstration)
        theirs = other.stations.create(kind="pull", title="Theirs", places=1)
        response = self.edit(**{"stations-0-station": theirs.pk})
        assert "station" in response.context["rows"].forms[0].errors

    def test_a_lead_may_not_change_it(self):
        assert self.edit(by=self.liam).status_code == 403

    def test_a_copy_is_a_new_gathering_with_the_same_stations(self):
        page = self.page("copy", self.gathering.pk, by=self.nora)
        assert page.context["form"]["day"].value() is None
        assert [row["title"].value() for row in page.context["rows"]] == ["Pull", "Tie"]
        data = typed() | rows({"title": "Pull"}, {"title": "Tie", "kind": "tie"})
        self.send("copy", self.gathering.pk, by=self.nora, **data)
        made = Gathering.objects.get(title="Pulling by the burn")
        assert made.uid != self.gathering.uid
        assert made.stations.count() == 2
        assert not made.sign_ups.exists()

    def test_a_draft_is_thrown_away_and_a_posted_one_is_not(self):
        response = self.send("delete", self.gathering.pk, by=self.nora)
        self.assertContains(response, "Call it off instead")
        draft = make_gathering(
            demonstration=self.demonstration, status=GatheringStatus.DRAFT
        )
        response = self.send("delete", draft.pk, by=self.nora)
        self.assertContains(response, "Draft deleted")


class CallTests(EveningCase):
    key = "8b5e1c6a-53a5-4b53-9d3c-0d3d3bb5b0aa"

    def setUp(self):
        super().setUp()
        self.sent = []

    def call(self, **data):
        data = {"key": self.key, "wind_in": "mph"} | data
        with self.captureOnCommitCallbacks(execute=True):
            return self.send("call", self.gathering.pk, by=self.liam, **data)

    def test_weighing_advises_and_decides_nothing(self):
        response = self.call(weigh="1", rain_mm_per_h="9")
        self.assertContains(response, "The advice is")
        assert not Call.objects.exists()

    def test_wind_is_read_in_the_measure_chosen(self):
        self.call(decide="1", decision="off", why_off="wind", wind="10", wind_in="kmh")
        assert Call.objects.get().conditions["wind_ms"] == 2.778

    def test_calling_off_says_so_and_tells_everybody(self):
        response = self.call(
            decide="1", decision="off", why_off="rain", note="Too wet."
        )
        self.assertContains(response, "Called off")
        self.assertContains(response, "Too wet.")
        assert len(self.mail_a_minute_later()) == 2

    def test_going_ahead_mails_those_with_an_address_and_lists_the_rest(self):
        here, phone = self.demonstration, "028 555 0177"
        paper = make_volunteer(demonstration=here, user=None, phone=phone)
        make_sign_up(station=self.tie, volunteer=paper)
        fair = {"rain_mm_per_h": "0", "wind": "4", "canopy_wet_mm": "0", "temp_c": "16"}
        self.call(decide="1", decision="go", note="Dry & bright.", **fair)
        page = self.page("gathering", self.gathering.pk, by=self.liam)
        sent = self.mail_a_minute_later()
        assert [letter.to for letter in sent] == [[self.ann.email]]
        self.assertContains(page, "Phone one person")
        self.assertContains(page, 'href="tel:0285550177"')
        self.assertContains(page, 'href="sms:0285550177?body=Going%20ahead%3A')
        copied = page.context["page"].words_to_copy
        assert "Going ahead: Pulling by the lane, Thursday 13 August" in copied
        assert "Dry & bright." in copied
        self.assertContains(page, "Dry &amp; bright.")
        self.call(decide="1", decision="go", note="Still dry.", **fair)
        assert len(self.mail_a_minute_later()) == 1
        others = self.page("gathering", self.gathering.pk, by=self.cat)
        self.assertNotContains(others, "to-phone")

    def test_calling_off_without_a_reason_names_its_field(self):
        response = self.call(decide="1", decision="off", note="Too wet.")
        assert "why_off" in response.context["form"].errors
        assert not Call.objects.exists()

    def test_why_it_is_off_is_not_called_optional(self):
        response = self.call(weigh="1")
        self.assertContains(response, 'for="id_why_off">Why, if you call it off<')

    def test_pressed_twice_is_pressed_once(self):
        for _ in range(2):
            self.call(decide="1", decision="off", why_off="rain", note="Too wet.")
        assert (Call.objects.count(), len(self.mail_a_minute_later())) == (1, 2)

    def test_one_press_decides_and_for_a_minute_it_is_taken_back(self):
        """From Today: the words and the button are all that is sent."""
        with self.captureOnCommitCallbacks(execute=True):
            self.send(
                "call", self.gathering.pk, by=self.liam,
                key=self.key, decision="off", why_off="rain", note="Wet.",
            )  # fmt: skip
        call = Call.objects.get()
        page = self.page("gathering", self.gathering.pk, by=self.liam)
        assert page.context["held"].letters == 2
        self.assertContains(page, "Take it back")
        page = self.send("take_back", self.gathering.pk, by=self.liam, call=call.pk)
        self.assertContains(page, "Taken back. No e-mail was sent.")
        self.gathering.refresh_from_db()
        assert self.gathering.is_posted
        assert (self.mail_a_minute_later(), Letter.objects.count()) == ([], 0)
        page = self.send("take_back", self.gathering.pk, by=self.liam, call=call.pk)
        self.assertContains(page, "That decision has already been taken back.")

    def test_once_the_minute_is_over_it_is_decided_anew(self):
        self.call(decide="1", decision="off", why_off="rain", note="Wet.")
        call = Call.objects.get()
        self.at(NOW + TAKE_BACK)
        page = self.send("take_back", self.gathering.pk, by=self.liam, call=call.pk)
        self.assertContains(page, "too late to take that back")
        assert Call.objects.exists()

    def test_what_must_go_at_once_is_sent_by_a_press(self):
        self.call(decide="1", decision="off", why_off="rain", note="Wet.")
        call = Call.objects.get()
        with self.captureOnCommitCallbacks(execute=True):
            page = self.send("send", self.gathering.pk, by=self.liam, call=call.pk)
        self.assertContains(page, "2 e-mails are on their way.")
        assert len(mail.outbox) == 2
        page = self.send("take_back", self.gathering.pk, by=self.liam, call=call.pk)
        self.assertContains(page, "The e-mails have already gone.")

    def mail_a_minute_later(self):
        send_due(now=NOW + TAKE_BACK - timedelta(seconds=1))
        assert mail.outbox == self.sent
        send_due(now=NOW + TAKE_BACK)
        self.sent = list(mail.outbox)
        return mail.outbox

    def test_no_decision_names_its_field_and_keeps_the_readings(self):
        response = self.call(decide="1", rain_mm_per_h="3.5")
        assert "decision" in response.context["form"].errors
        self.assertContains(response, 'value="3.5"')

    def test_a_bold_decision_asks_for_words_in_their_field(self):
        response = self.call(decide="1", decision="go", minutes_since_thunder="5")
        assert "note" in response.context["form"].errors
        self.assertContains(response, "advice is more careful")

    def test_figures_past_belief_name_their_fields(self):
        response = self.call(weigh="1", rain_mm_per_h="-1", relative_humidity="140")
        wrong = {"rain_mm_per_h", "relative_humidity"}
        assert set(response.context["form"].errors) == wrong

    def test_heat_past_every_chart_is_off_without_a_figure(self):
        response = self.call(weigh="1", temp_c="46", relative_humidity="95")
        self.assertContains(response, "hotter than any chart goes")
        self.assertNotContains(response, "feels like")

    def test_ten_degrees_is_no_colder_than_nine(self):
        for temp in ("9.9", "10.1"):
            response = self.call(
                weigh="1", temp_c=temp, wind="6", wind_in="ms", relative_humidity="70"
            )
            self.assertNotContains(response, "too cold")

    def test_what_is_over_has_nothing_to_call(self):
        self.at(self.gathering.ends_at)
        response = self.page("call", self.gathering.pk, by=self.liam)
        self.assertContains(response, "nothing to decide")
