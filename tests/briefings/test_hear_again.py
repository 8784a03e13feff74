"""Publishing a change writes to those whose hearing it voids."""

from datetime import timedelta

from django.core import mail
from django.test import TestCase
from django.urls import reverse

from heritage.briefings import selectors, services
from heritage.briefings.models import HeardHow
from heritage.people.models import Letter, LetterState
from tests.factories import (
    NOW,
    make_briefing,
    make_dam,
    make_demonstration,
    make_gathering,
    make_hazard,
    make_organiser,
    make_ret,
    make_rota_plan,
    make_sign_up,
    make_station,
    make_treader,
    make_treading,
    make_volunteer,
)

DAY = timedelta(days=1)


class HearAgainTests(TestCase):
    """Ann and her child Kit, Bob, and Una without an address heard version 1."""

    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Quill")
        here = {"demonstration": cls.place}
        hazard = make_hazard(**here)
        hazard.controls.create(kind="4_organise", text="Keep watch.")
        cls.briefing = make_briefing(title="At the water", in_charge="Nora", **here)
        cls.briefing.hazards.add(hazard)
        cls.ann = make_volunteer(name="Ann Birch", email="ann@example.org", **here)
        cls.kit = make_volunteer(
            name="Kit Birch", user=None, guardian=cls.ann, age_band="from_13", **here
        )
        cls.bob = make_volunteer(name="Bob Tarrant", email="bob@example.org", **here)
        cls.una = make_volunteer(name="Una Reed", user=None, **here)
        cls.late = make_volunteer(name="Lew Moss", email="lew@example.org", **here)
        cls.publish(NOW - 2 * DAY)
        services.acknowledge_all(
            version=cls.briefing.versions.get(),
            volunteers=[cls.ann, cls.kit, cls.bob, cls.una],
            by=cls.nora.user,
            now=NOW - DAY,
            how=HeardHow.ALOUD,
        )
        evening = make_gathering(
            title="Treading", starts_at=NOW + DAY, ends_at=NOW + 2 * DAY, **here
        )
        cls.station = make_station(
            gathering=evening, title="Tread", briefing=cls.briefing
        )
        make_sign_up(station=cls.station, volunteer=cls.kit)

    @classmethod
    def publish(cls, now=NOW):
        return services.publish(briefing=cls.briefing, user=cls.nora.user, now=now)

    def change(self, words="Wear boots."):
        self.briefing.clothing = words
        self.briefing.save(update_fields=["clothing"])

    def publish_change(self, words="Wear boots."):
        self.change(words)
        mail.outbox.clear()
        with self.captureOnCommitCallbacks(execute=True):
            return self.publish()

    def letters(self):
        return Letter.objects.filter(key__startswith="hear-again")

    def test_the_first_publishing_writes_to_nobody(self):
        assert not self.letters().exists()

    def test_each_household_gets_one_letter_that_names_who_and_where(self):
        self.publish_change()
        assert sorted(one.to[0] for one in mail.outbox) == [
            "ann@example.org",
            "bob@example.org",
        ]
        said = {one.to[0]: one.body for one in mail.outbox}
        ann, bob = said["ann@example.org"], said["bob@example.org"]
        assert "“At the water” has changed" in ann
        assert "- Ann Birch: needed only before you sign up" in ann
        assert "- Kit Birch: Tread at Treading, Thursday 13 August, 18:40" in ann
        assert f"/{self.place.slug}/safety/{self.briefing.pk}/" in ann
        assert "Kit" not in bob
        assert not selectors.heard_pairs([self.bob], [self.briefing])

    def test_whoever_had_not_heard_the_last_version_is_not_written_to_again(self):
        self.publish_change()
        self.publish_change("Wear boots and gloves.")
        assert mail.outbox == []

    def test_somebody_no_letter_reaches_is_in_the_book_while_they_hold_a_place(self):
        self.publish_change()
        assert not self.letters().filter(volunteer=self.una).exists()
        make_sign_up(station=self.station, volunteer=self.una)
        for person in (self.una, self.bob):
            services.acknowledge(
                version=selectors.current_version(self.briefing),
                volunteer=person,
                by=self.nora.user,
                now=NOW,
                how=HeardHow.PAPER,
            )
        self.publish_change("Wear boots and gloves.")
        row = self.letters().get(volunteer=self.una)
        assert row.state == LetterState.NO_ADDRESS
        assert [one.to[0] for one in mail.outbox] == ["bob@example.org"]

    def test_a_turn_at_the_dam_asks_for_it_too(self):
        plan = make_rota_plan(
            ret=make_ret(dam=make_dam(demonstration=self.place)),
            briefing=self.briefing,
            taken_at=NOW,
        )
        turn = make_treading(plan=plan, at=NOW + DAY / 2)
        make_treader(turn=turn, volunteer=self.bob, state="on")
        assert set(selectors.places_asking(self.briefing, NOW)) == {
            self.bob.pk,
            self.kit.pk,
        }
        self.publish_change()
        (body,) = [one.body for one in mail.outbox if one.to == ["bob@example.org"]]
        assert "- Bob Tarrant: a turn treading at" in body

    def test_the_organiser_is_told_by_name_who_is_written_to_and_who_is_not(self):
        self.change()
        self.client.force_login(self.nora.user)
        address = reverse(
            "briefings:publishing", args=[self.place.slug, self.briefing.pk]
        )
        page = self.client.get(address).content.decode()
        for name in ("Ann Birch", "Kit Birch", "Bob Tarrant", "Una Reed"):
            assert name in page
        answer = self.client.post(address, {}, follow=True).content.decode()
        assert "Must hear it again: Ann Birch, Bob Tarrant, Kit Birch, Una" in answer
        assert "We&#x27;re writing to Ann Birch, Bob Tarrant, Kit Birch." in answer
        assert "No e-mail for Una Reed. Tell them yourself." in answer
