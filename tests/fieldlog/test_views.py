"""The field page's addresses: who may use them, and what they bear."""

import json
import uuid
from datetime import timedelta

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, TestCase, override_settings
from django.urls import reverse

from heritage.common import clock
from heritage.fieldlog.models import FieldNote, Receipt
from heritage.pictures.models import Picture
from heritage.tally.models import Entry
from tests.factories import (
    make_demonstration,
    make_gathering,
    make_organiser,
    make_sign_up,
    make_station,
    make_user,
    make_volunteer,
)
from tests.fieldlog.slips import said
from tests.pictures.photographs import photograph


class FieldTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        now = clock.now()
        cls.demonstration = make_demonstration(name="Carrowlint flax")
        cls.organiser = make_organiser(demonstration=cls.demonstration)
        cls.lead = make_volunteer(demonstration=cls.demonstration)
        cls.ann = make_volunteer(demonstration=cls.demonstration, name="Ann Birch")
        cls.gathering = make_gathering(
            demonstration=cls.demonstration,
            lead=cls.lead,
            starts_at=now - timedelta(hours=1),
            ends_at=now + timedelta(hours=2),
        )
        make_sign_up(station=make_station(gathering=cls.gathering), volunteer=cls.ann)

    def setUp(self):
        self.client.force_login(self.lead.user)

    def url(self, name, gathering=None):
        args = [self.demonstration.slug]
        if name not in ("list", "worker", "manifest"):
            args.append((gathering or self.gathering).pk)
        return reverse(f"fieldlog:{name}", args=args)

    def send(self, *slips, client=None, **letter):
        letter = {"slips": slips, "sent_at": clock.now().isoformat()} | letter
        return (client or self.client).post(
            self.url("send"), letter, content_type="application/json"
        )

    def test_each_role_meets_what_is_theirs(self):
        elsewhere = make_organiser()
        askers = [
            (None, 302),
            (make_user(), 403),
            (self.ann.user, 404),
            (elsewhere.user, 403),
            (self.lead.user, 200),
            (self.organiser.user, 200),
        ]
        for user, wanted in askers:
            client = Client()
            if user:
                client.force_login(user)
            for name in ("field", "state", "book"):
                assert client.get(self.url(name)).status_code == wanted, (user, name)
            assert self.send(client=client).status_code == wanted

    def test_a_draft_has_no_field_page(self):
        draft = make_gathering(demonstration=self.demonstration, status="draft")
        self.client.force_login(self.organiser.user)
        assert self.client.get(self.url("field", draft)).status_code == 404

    def test_the_kept_page_names_nobody(self):
        for name in ("field", "list"):
            page = self.client.get(self.url(name)).content.decode()
            for person in (self.ann, self.lead):
                assert person.name not in page
        assert (
            reverse("tally:log", args=[self.demonstration.slug, self.gathering.pk])
            in self.client.get(self.url("field")).content.decode()
        )

    def test_the_list_has_the_gatherings_one_leads(self):
        mine = self.client.get(self.url("list")).content.decode()
        assert self.url("field") in mine
        self.client.force_login(self.ann.user)
        assert "led by you" in self.client.get(self.url("list")).content.decode()

    def test_the_state_has_tonights_names_and_a_token(self):
        answer = self.client.get(self.url("state"))
        told = answer.json()
        assert [one["name"] for one in told["people"]] == ["Ann Birch"]
        assert len(told["token"]) == 64
        assert "no-store" in answer["Cache-Control"]

    def test_sending_needs_the_token(self):
        client = Client(enforce_csrf_checks=True)
        client.force_login(self.lead.user)
        assert self.send(client=client).status_code == 403
        token = client.get(self.url("state")).json()["token"]
        answer = client.post(
            self.url("send"),
            {"slips": []},
            content_type="application/json",
            headers={"X-CSRFToken": token},
        )
        assert answer.json() == {"receipts": []}

    def test_slips_are_answered_in_their_order_each_with_its_receipt(self):
        good = said("beets", clock.now(), person=self.ann.pk, count=5)
        bad = said("beets", clock.now(), person=self.ann.pk, count=0)
        first = self.send(good, bad, good).json()["receipts"]
        assert [one["outcome"] for one in first] == ["kept", "refused", "kept"]
        assert [one["key"] for one in first] == [good["key"], bad["key"], good["key"]]
        assert first[0] == first[2]
        assert self.send(good, bad, good).json()["receipts"] == first
        assert Entry.objects.beets() == 5

    def test_an_evening_replayed_from_two_phones_adds_up(self):
        other = Client()
        other.force_login(self.organiser.user)
        taps = [
            said("beets", clock.now(), person=self.ann.pk, count=1 + n % 2 * 4)
            for n in range(60)
        ]
        for client in (self.client, other, self.client):
            assert self.send(*reversed(taps), client=client).status_code == 200
        assert Entry.objects.beets() == 30 * 1 + 30 * 5

    def test_one_unreadable_slip_does_not_hold_up_the_others(self):
        key = str(uuid.uuid4())
        good = said("note", text="Wet.")
        receipts = self.send({"key": key, "kind": "shout"}, "x", good).json()[
            "receipts"
        ]
        assert [one["outcome"] for one in receipts] == ["refused", "refused", "kept"]
        assert [one["key"] for one in receipts] == [key, None, good["key"]]
        assert Receipt.objects.count() == 1

    def test_a_key_used_at_another_gathering_is_refused(self):
        good = said("note", text="Wet.")
        self.send(good)
        Receipt.objects.update(
            gathering=make_gathering(demonstration=self.demonstration)
        )
        (receipt,) = self.send(good).json()["receipts"]
        assert receipt["outcome"] == "refused"
        assert "another gathering" in receipt["words"]

    def test_what_cannot_be_read_at_all_is_answered_so(self):
        for body in ("", "{", "[]", "{}", '{"slips": 5}', "[" * 100_000):
            answer = self.client.post(
                self.url("send"), body, content_type="application/json"
            )
            assert answer.status_code == 400, body
            assert "cannot be read" in answer.json()["why"]
        assert self.send(*[said("thunder")] * 101).status_code == 400
        assert not Receipt.objects.exists()

    def picture(self, data):
        slip = said("picture", clock.now(), caption="A stook")
        letter = json.dumps({"slips": [slip], "sent_at": clock.now().isoformat()})
        upload = SimpleUploadedFile("photograph", data)
        return self.client.post(
            self.url("send"), {"letter": letter, "photograph": upload}
        )

    def test_a_photograph_comes_in_an_envelope(self):
        (receipt,) = self.picture(photograph()).json()["receipts"]
        assert receipt["outcome"] == "kept"
        assert Picture.objects.get().caption == "A stook"

    @override_settings(PICTURE_MAX_BYTES=1000)
    def test_a_photograph_that_is_too_large_is_not_read(self):
        answer = self.picture(b"x" * 1001)
        assert answer.status_code == 413
        assert "too large" in answer.json()["why"]

    def test_the_book_shows_notes_and_clocks(self):
        note = said("note", clock.now(), text="Wet below the hedge.")
        self.send(note, said("thunder", None), said("note", text=""))
        page = self.client.get(self.url("book")).content.decode()
        for words in ("Wet below the hedge.", "Thunder", "refused", "not said"):
            assert words in page
        assert FieldNote.objects.get().by == self.lead.user

    def test_the_worker_is_sent_from_above_the_pages(self):
        answer = Client().get(self.url("worker"))
        assert answer["Content-Type"] == "text/javascript"
        assert answer["Cache-Control"] == "no-cache"
        assert self.url("field").startswith(
            self.url("worker").removesuffix("worker.js")
        )

    def test_the_manifest_starts_at_the_list(self):
        answer = Client().get(self.url("manifest"))
        assert answer["Content-Type"] == "application/manifest+json"
        told = answer.json()
        assert told["name"] == "Field page: Carrowlint flax"
        assert told["start_url"] == told["scope"] == self.url("list")
