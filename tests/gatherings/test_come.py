"""One page joins, briefs and takes the place; a family's is the same page."""

import pytest
from django.core.exceptions import ValidationError

from heritage.gatherings.models import SignUp, SignUpStatus
from heritage.gatherings.places import services
from heritage.people.models import AgeBand, Volunteer
from tests.factories import make_briefing_version, make_station, make_user
from tests.gatherings.evening import EveningCase

SHORT = {"task": "Pull.", "short": "Pull by the root.\nStop when you hear STOP."}


class ComeCase(EveningCase):
    """Tie asks for a briefing with a short form; Zoe has an account and no more."""

    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        cls.version = make_briefing_version(briefing=cls.briefing, content=SHORT)
        cls.zoe = make_user(name="Zoe Hart")

    def setUp(self):
        super().setUp()
        self.client.force_login(self.zoe)
        self.address = self.url("come", self.gathering.pk)
        self.address += f"?briefing={self.briefing.pk}"

    def fill(self, **fields):
        """Send what the page sends once its radio and its tick are pressed."""
        data = {
            "name": "Zoe Hart",
            "age_band": "adult",
            "station_me": self.tie.pk,
            "heard": "on",
            "version": self.version.pk,
            "in_short": "1",
        }
        return self.client.post(self.address, data | fields, follow=True)

    def newcomer(self):
        return Volunteer.objects.filter(user=self.zoe).first()


class NewcomerTests(ComeCase):
    def test_the_page_tells_briefs_and_has_a_place_ready(self):
        page = self.client.get(self.address)
        self.assertContains(page, "Pulling by the lane: Thursday 13 August")
        self.assertContains(page, "<li>Pull by the root.</li>")
        self.assertContains(page, "The whole briefing")
        self.assertContains(page, f'<option value="{self.tie.pk}" selected>')

    def test_one_press_joins_hears_and_takes_the_place(self):
        response = self.fill()
        self.assertContains(response, "Zoe Hart has a place at Tie.")
        me = self.newcomer()
        assert me.sign_ups.get().status == SignUpStatus.HELD
        heard = me.acknowledgements.get()
        assert (heard.version, heard.in_short, heard.how) == (
            self.version, True, "screen",
        )  # fmt: skip

    def test_without_the_tick_nothing_is_done_and_it_says_what_to_do(self):
        self.assertContains(self.fill(heard=""), "tick that you&#x27;ll keep to it")
        assert self.newcomer() is None

    def test_words_that_changed_meanwhile_are_not_taken_as_heard(self):
        make_briefing_version(briefing=self.briefing, content=SHORT)
        self.assertContains(self.fill(), "This briefing has changed.")
        assert self.newcomer() is None

    def test_somebody_under_18_is_entered_by_their_adult(self):
        self.assertContains(self.fill(age_band="from_16"), "the adult who answers")
        assert self.newcomer() is None

    def test_a_child_comes_with_them_on_the_same_press(self):
        bands = make_station(
            gathering=self.gathering,
            title="Bands",
            least_age=AgeBand.UNDER_13,
            briefing=self.briefing,
        )
        child = {
            "child-name": "Kit Hart",
            "child-age_band": "under_13",
            "station_child": bands.pk,
        }
        self.fill(**child)
        kit = Volunteer.objects.get(name="Kit Hart")
        assert kit.guardian == self.newcomer()
        assert kit.sign_ups.get().status == SignUpStatus.HELD
        assert kit.acknowledgements.get().recorded_by == self.zoe

    def test_a_child_is_never_signed_up_where_it_is_too_young(self):
        child = {
            "child-name": "Kit Hart",
            "child-age_band": "under_13",
            "station_child": self.tie.pk,
        }
        response = self.fill(**child)
        self.assertContains(response, "Kit Hart has not been signed up.")
        self.assertContains(response, "Zoe Hart has a place at Tie.")

    def test_next_leads_to_the_next_evening(self):
        response = self.client.get(self.url("next"))
        assert response.url == self.gathering.get_absolute_url()


class UndoTests(ComeCase):
    """Ann gives up her place at Pull; Bob waits for it."""

    def give_up(self):
        return services.give_up(sign_up=self.held, by=self.ann.user, now=self.now)

    @property
    def now(self):
        return self.gathering.starts_at - 20 * services.UNDO_WITHIN

    def take_back(self, after=None):
        return services.take_back(
            sign_up=self.held, by=self.ann.user, now=self.now + (after or after_a_bit())
        )

    def test_it_is_asked_once_and_undone_with_one_press(self):
        SignUp.objects.filter(pk=self.turn.pk).delete()
        one = {"sign_up": self.held.pk}
        asked = self.send("give_up", self.gathering.pk, by=self.ann, **one)
        self.assertContains(asked, "You can undo it for 10 minutes.")
        assert SignUp.objects.live().by(self.ann).exists()
        done = self.send("give_up", self.gathering.pk, by=self.ann, sure="1", **one)
        self.assertContains(done, "Undo")
        undo = ("take_place_back", self.gathering.pk, self.held.pk)
        back = self.send(*undo, by=self.ann)
        self.assertContains(back, "Ann Rush has a place at Pull.")

    def test_who_moved_up_keeps_the_place_and_the_undoer_waits_at_the_end(self):
        self.give_up()
        (back,) = self.take_back()
        assert back.status == SignUpStatus.WAITING
        self.turn.refresh_from_db()
        assert self.turn.status == SignUpStatus.HELD

    def test_after_ten_minutes_it_is_too_late(self):
        self.give_up()
        with pytest.raises(ValidationError, match="too late"):
            self.take_back(after=services.UNDO_WITHIN + after_a_bit())

    def test_nobody_else_undoes_it(self):
        self.give_up()
        response = self.send(
            "take_place_back", self.gathering.pk, self.held.pk, by=self.cat
        )
        assert response.status_code == 404


def after_a_bit():
    return services.UNDO_WITHIN / 5
