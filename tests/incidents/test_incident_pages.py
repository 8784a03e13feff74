"""Incidents on screen and paper: who reads what, and nothing lost on the way."""

from datetime import date, timedelta
from io import BytesIO

from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.incidents import selectors, services
from heritage.incidents.models import Evidence, Incident, Witness
from heritage.incidents.sheets import incident_sheet, register_sheet
from tests.briefings.test_sheets import text_of
from tests.factories import (
    NOW,
    make_demonstration,
    make_evidence,
    make_gathering,
    make_hazard,
    make_incident,
    make_organiser,
    make_user,
    make_volunteer,
    make_witness,
)
from tests.incidents.test_incidents import HSE_CASES, photograph
from tests.people.world import make_keeper
from tests.responses import finish

QUICK = {
    "kind": "injury",
    "place": "Edge of the dam",
    "account": "A stone slid and caught a hand.",
    "happened_at": "2026-08-12T18:20",
}


def upload(data=None, name="plank.jpg"):
    return SimpleUploadedFile(name, data or photograph(), "image/jpeg")


class PageCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(jurisdiction="gb")
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell").user
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush").user

    def url(self, view, *args):
        return reverse(f"incidents:{view}", args=[self.place.slug, *args])

    def made(self, **fields):
        fields = {"demonstration": self.place, "reported_by": self.ann} | fields
        return make_incident(**fields)


class ReportPageTests(PageCase):
    def setUp(self):
        self.client.force_login(self.ann)

    def report(self, **data):
        return self.client.post(self.url("report_incident"), QUICK | data)

    def test_when_is_filled_in_with_now_by_the_local_clock(self):
        with self.settings(CLOCK_STARTS_AT="2026-08-12T18:40:00+01:00"):
            response = self.client.get(self.url("report_incident"))
        self.assertContains(response, 'value="2026-08-12T18:4')
        self.assertContains(response, "Look after anybody hurt first")
        self.assertContains(response, "Call 999 or 112")

    def test_three_things_and_a_press(self):
        response = self.report()
        incident = Incident.objects.get()
        self.assertRedirects(response, self.url("incident", incident.pk))
        assert incident.happened_at.isoformat() == "2026-08-12T17:20:00+00:00"

    def test_a_photograph_comes_with_it(self):
        self.report(photograph=upload())
        assert Evidence.objects.get().added_by == self.ann

    def test_a_bad_photograph_costs_none_of_the_words(self):
        response = self.client.post(
            self.url("report_incident"),
            QUICK | {"photograph": upload(b"MZ not a picture")},
            follow=True,
        )
        self.assertContains(response, "Report sent, but without the photo")
        self.assertContains(response, "A stone slid and caught a hand.")
        assert not Evidence.objects.exists()

    def test_bad_words_keep_what_was_typed_and_ask_for_the_photograph_again(self):
        response = self.report(kind="", photograph=upload())
        errors = response.context["form"].errors
        assert set(errors) == {"kind", "photograph"}
        self.assertContains(response, "A stone slid and caught a hand.")
        assert not Incident.objects.exists()

    def test_a_photograph_too_large_is_refused_by_size(self):
        with self.settings(PICTURE_MAX_BYTES=100):
            response = self.report(photograph=upload())
        assert "larger than" in str(response.context["form"].errors["photograph"])

    def test_pressed_twice_it_is_written_down_once(self):
        for _press in range(2):
            self.report(key="the-same-page")
        assert Incident.objects.count() == 1

    def test_an_hour_that_does_not_exist_is_refused_politely(self):
        response = self.report(happened_at="2026-03-29T01:30")
        assert "clocks changed" in str(response.context["form"].errors["happened_at"])
        response = self.report(happened_at="2099-01-01T10:00")
        assert "in the future" in str(response.context["form"].errors["happened_at"])


class CompletingTests(PageCase):
    def test_hses_five_published_cases_through_the_form(self):
        self.client.force_login(self.nora)
        said = {True: "True", False: "False"}
        for name, (known, answer) in HSE_CASES.items():
            incident = self.made(kind="injury")
            asked = ("work_related", "employer", "on_public_road")
            response = self.client.post(
                self.url("edit_incident", incident.pk),
                QUICK
                | dict(zip(asked, (said[one] for one in known), strict=False))
                | {
                    "who": "volunteer",
                    "fatal": "False",
                    "treated_in_hospital": said[known[3]],
                },
                follow=True,
            )
            with self.subTest(name):
                assert response.context["page"].advice.answer is answer
                self.assertContains(response, "A guide only")
                self.assertNotContains(response, "need not be reported")

    def test_not_known_stays_not_known(self):
        self.client.force_login(self.nora)
        incident = self.made(fatal=True)
        self.client.post(self.url("edit_incident", incident.pk), QUICK | {"fatal": ""})
        assert Incident.objects.get().fatal is None

    def test_an_organiser_completes_decides_holds_and_finishes(self):
        self.client.force_login(self.nora)
        hazard = make_hazard(demonstration=self.place)
        incident = self.made()
        whole = QUICK | {
            "who": "volunteer",
            "injury": "A cut thumb",
            "done": "Plaster",
            "learnt": "Gloves for everybody",
            "hazard": hazard.pk,
        }
        self.client.post(self.url("edit_incident", incident.pk), whole)
        why = {"not_told_why": "No employer ran it"}
        self.client.post(self.url("decide_reporting", incident.pk), why)
        self.client.post(self.url("hold_incident", incident.pk), {"held_for": "claim"})
        response = self.client.post(
            self.url("finish_incident", incident.pk), follow=True
        )
        self.assertContains(response, "Report finished.")
        self.assertContains(response, f"Check “{hazard}” again")
        self.assertContains(response, "Kept longer: claim")
        self.assertContains(response, "Edge of the dam")

    def test_a_decision_of_two_minds_is_refused_by_field(self):
        self.client.force_login(self.nora)
        incident = self.made()
        response = self.client.post(
            self.url("decide_reporting", incident.pk),
            {"told_authority_on": "2026-08-12", "not_told_why": "No need"},
        )
        assert "not_told_why" in response.context["form"].errors

    def test_whoever_reported_it_adds_what_they_know(self):
        self.client.force_login(self.ann)
        incident = self.made()
        services.change_incident(
            incident=incident,
            values={"hurt_name": "Told in confidence"},
            by=self.nora,
            now=NOW,
            as_organiser=True,
        )
        there = self.url("edit_incident", incident.pk)
        fields = self.client.get(there).context["form"].fields
        assert "injury" in fields
        assert {"hurt_name", "learnt", "volunteer", "hazard"}.isdisjoint(fields)
        self.assertNotContains(self.client.get(there), "Told in confidence")
        typed = QUICK | {"injury": "A cut", "hurt_name": "Nobody", "learnt": "Nothing"}
        self.client.post(there, typed)
        incident.refresh_from_db()
        assert incident.injury == "A cut"
        assert (incident.hurt_name, incident.learnt) == ("Told in confidence", "")

    def test_once_complete_they_read_and_no_longer_write(self):
        self.client.force_login(self.ann)
        incident = self.made(completed_at=NOW, completed_by=self.nora)
        response = self.client.post(self.url("edit_incident", incident.pk), QUICK)
        self.assertContains(response, "An organiser has completed this")
        for view in ("add_witness", "add_photograph"):
            assert self.client.get(self.url(view, incident.pk)).status_code == 404
        page = self.client.get(self.url("incident", incident.pk))
        self.assertContains(page, "tell them what should change")

    def test_witnesses_and_photographs_by_form(self):
        self.client.force_login(self.ann)
        incident = self.made()
        self.client.post(self.url("add_witness", incident.pk), {"name": "Torin Reed"})
        witness = Witness.objects.get()
        there = self.url("edit_witness", witness.pk)
        self.client.post(there, {"name": "Torin Reed", "says": "It slid."})
        assert Witness.objects.get().says == "It slid."
        self.client.post(there, {"away": "1"})
        assert not Witness.objects.exists()
        there = self.url("add_photograph", incident.pk)
        bad = self.client.post(there, {"words": "", "photograph": upload()})
        assert set(bad.context["form"].errors) == {"words", "photograph"}
        bad = self.client.post(
            there, {"words": "Plank", "photograph": upload(b"%PDF-1.7 x")}
        )
        assert "not a photograph" in str(bad.context["form"].errors["photograph"])
        self.client.post(there, {"words": "The plank", "photograph": upload()})
        assert Evidence.objects.get().words == "The plank"


class RoleMatrixTests(TestCase):
    """Pages, photographs, sheets and register, asked for by everybody."""

    @classmethod
    def setUpTestData(cls):
        cls.place, cls.there = make_demonstration(), make_demonstration()
        here = {"demonstration": cls.place}
        cls.reporter = make_volunteer(**here)
        lead = make_volunteer(**here)
        now = clock.now()
        make_gathering(
            lead=lead, starts_at=now, ends_at=now + timedelta(hours=3), **here
        )
        cls.organiser = make_organiser(**here)
        cls.incident = make_incident(reported_by=cls.reporter.user, **here)
        cls.own = make_evidence(incident=cls.incident)
        cls.theirs = make_evidence(incident=cls.incident, added_by=cls.organiser.user)
        cls.saw = make_witness(incident=cls.incident)
        cls.told = make_witness(incident=cls.incident, added_by=cls.organiser.user)
        cls.askers = {
            "visitor": None,
            "account": make_user(),
            "gone": make_volunteer(left_at=NOW, **here).user,
            "volunteer": make_volunteer(**here).user,
            "lead": lead.user,
            "reporter": cls.reporter.user,
            "organiser": cls.organiser.user,
            "keeper": make_keeper(),
            "strange organiser": make_organiser(demonstration=cls.there).user,
        }

    ALL = frozenset({"reporter", "organiser", "keeper"})
    ORGANISERS = frozenset({"organiser", "keeper"})

    def let_in(self, view, *args):
        path = reverse(f"incidents:{view}", args=[self.place.slug, *args])
        found = set()
        for name, user in self.askers.items():
            client = Client()
            if user:
                client.force_login(user)
            response = client.get(path)
            if response.status_code == 200:
                found.add(name)
                if view != "photograph":
                    assert "no-store" in response["Cache-Control"]
            finish(response)
        return found

    def test_an_incident_is_for_its_reporter_and_organisers(self):
        pk = self.incident.pk
        for view in ("incident", "edit_incident", "add_witness", "add_photograph"):
            with self.subTest(view):
                assert self.let_in(view, pk) == self.ALL

    def test_what_only_organisers_open(self):
        pk = self.incident.pk
        for view in ("decide_reporting", "hold_incident", "incident_sheet"):
            with self.subTest(view):
                assert self.let_in(view, pk) == self.ORGANISERS
        assert self.let_in("register") == self.ORGANISERS

    def test_photographs_and_witnesses_go_with_whoever_added_them(self):
        assert self.let_in("photograph", self.own.pk) == self.ALL
        assert self.let_in("photograph", self.theirs.pk) == self.ORGANISERS
        assert self.let_in("edit_witness", self.saw.pk) == self.ALL
        assert self.let_in("edit_witness", self.told.pk) == self.ORGANISERS

    def test_the_list_holds_what_its_reader_may_read(self):
        path = reverse("incidents:incidents", args=[self.place.slug])
        for name in ("volunteer", "lead", "reporter", "organiser", "keeper"):
            self.client.force_login(self.askers[name])
            lines = self.client.get(path).context["lines"]
            with self.subTest(name):
                assert bool(lines) is (name in self.ALL)

    def test_writing_is_refused_too(self):
        for name in ("volunteer", "lead", "strange organiser"):
            self.client.force_login(self.askers[name])
            for view, pk in (
                ("finish_incident", self.incident.pk),
                ("take_away_photograph", self.own.pk),
                ("edit_incident", self.incident.pk),
            ):
                path = reverse(f"incidents:{view}", args=[self.place.slug, pk])
                with self.subTest(name=name, view=view):
                    assert self.client.post(path, QUICK).status_code in {403, 404}

    def test_a_reporter_who_left_reads_it_no_longer(self):
        self.reporter.left_at = NOW
        self.reporter.save()
        path = reverse("incidents:incident", args=[self.place.slug, self.incident.pk])
        self.client.force_login(self.reporter.user)
        assert self.client.get(path).status_code == 403

    def test_a_photograph_is_kept_by_no_cache(self):
        self.client.force_login(self.organiser.user)
        piece = make_evidence(incident=self.incident)
        path = reverse("incidents:photograph", args=[self.place.slug, piece.pk])
        response = self.client.get(path)
        assert response["Cache-Control"] == "private, no-store"
        assert response["X-Content-Type-Options"] == "nosniff"
        finish(response)
        piece.file.storage.delete(piece.file.name)
        assert self.client.get(path).status_code == 404

    def test_an_organiser_deletes_a_photograph(self):
        self.client.force_login(self.organiser.user)
        piece = make_evidence(incident=self.incident)
        path = reverse(
            "incidents:take_away_photograph", args=[self.place.slug, piece.pk]
        )
        self.assertRedirects(
            self.client.post(path),
            reverse("incidents:incident", args=[self.place.slug, self.incident.pk]),
        )
        assert not Evidence.objects.contains(piece)


class SheetTests(PageCase):
    def sheet(self, incident, *, large_print=False):
        row = Incident.objects.for_page().get(pk=incident.pk)
        return incident_sheet(
            selectors.incident_page(row, self.nora, whole=True),
            photographs=services.photographs_of(row),
            printed_on=date(2026, 8, 13),
            large_print=large_print,
        )

    def register(self, day=date(2026, 8, 12), *, large_print=False):
        return register_sheet(
            selectors.register(self.place, day, day),
            printed_on=date(2026, 8, 13),
            large_print=large_print,
        )

    def test_one_incident_whole(self):
        incident = self.made(
            kind="injury",
            who="visitor",
            injury="A cut",
            told_authority_on=date(2026, 8, 13),
            told_authority_how="By the form, 4711",
            completed_at=NOW,
            completed_by=self.nora,
            held_for="a claim",
        )
        make_witness(incident=incident, contact="07700 900123")
        make_evidence(incident=incident)
        text = text_of(self.sheet(incident))
        for words in (
            "In confidence",
            "Torin Reed (07700 900123)",
            "Reported on 13 August 2026: By the form, 4711",
            "A guide only",
            "Kept longer: a claim",
            "The wet plank.",
            f"{self.nora}, 12 August 2026",
        ):
            assert words in text
        assert self.sheet(incident) == self.sheet(incident)
        large = self.sheet(incident, large_print=True)
        assert "By the form, 4711" in text_of(large)

    def test_a_bare_incident_prints_too(self):
        text = text_of(self.sheet(self.made()))
        assert "Not decided yet" in text
        assert "Until 12 August 2029" in text

    def test_the_register_of_a_day(self):
        self.made(not_told_why="Nobody was hurt")
        self.made(completed_at=NOW, completed_by=self.nora)
        text = text_of(self.register())
        assert "Not reported: Nobody was hurt" in text
        assert "12.08.2026" in text
        assert "Edge of the dam" in text_of(self.register(large_print=True))

    def test_an_empty_register_says_so(self):
        text = text_of(self.register(date(2026, 1, 1)))
        assert "Nothing was reported" in text

    def test_by_the_page_and_of_a_period(self):
        self.client.force_login(self.nora)
        self.made()
        sheet = self.client.get(self.url("register"))
        assert sheet["Content-Type"] == "application/pdf"
        assert len(PdfReader(BytesIO(sheet.content)).pages) == 1
        days = {"first": "2026-08-13", "last": "2026-08-12"}
        response = self.client.get(self.url("register"), days)
        assert "after the first" in str(response.context["form"].errors["last"])
        days["last"] = "never"
        response = self.client.get(self.url("register"), days)
        assert "last" in response.context["form"].errors
        pk = Incident.objects.get().pk
        sheet = self.client.get(self.url("incident_sheet", pk), {"large": "1"})
        assert sheet["Content-Type"] == "application/pdf"
