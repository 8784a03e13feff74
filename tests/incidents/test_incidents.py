"""Incidents: what services keep, refuse and delete."""

from datetime import date, timedelta
from io import BytesIO
from unittest.mock import patch

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.test import TestCase
from PIL import Image

from heritage.calc.risk import Reporting
from heritage.common.photographs import read_photograph
from heritage.incidents import selectors, services
from heritage.incidents.models import Evidence, Incident, IncidentChange, Witness
from heritage.incidents.selectors import own_words, words_for, years_on
from heritage.incidents.services import MOST_PHOTOGRAPHS
from heritage.people.models import AgeBand
from tests.factories import (
    NOW,
    make_demonstration,
    make_evidence,
    make_incident,
    make_incident_change,
    make_lost_child,
    make_organiser,
    make_volunteer,
    make_witness,
)
from tests.outside.hse import HSE_CASES

TODAY = NOW.date()
QUICK = {
    "kind": "injury",
    "place": "Edge of the dam",
    "account": "A stone slid and caught a hand.",
    "happened_at": NOW - timedelta(minutes=20),
}


def photograph(*, place: bool = False) -> bytes:
    """Make a JPEG, with the place where it was taken hidden beside the dots."""
    exif = Image.Exif()
    if place:
        exif.get_ifd(0x8825).update({1: "N", 2: (54.0, 36.0, 0.0)})
    buffer = BytesIO()
    Image.new("RGB", (640, 480), "tan").save(buffer, "JPEG", exif=exif)
    return buffer.getvalue()


def prepared(data: bytes | None = None):
    return read_photograph(data or photograph(), field="photograph")


class IncidentCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(jurisdiction="gb")
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell").user
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush").user
        cls.torin = make_volunteer(demonstration=cls.place, name="Torin Reed").user

    def report(self, **said):
        return services.report_incident(
            demonstration=self.place, values=QUICK | said, by=self.ann, now=NOW
        )

    def change(self, incident, *, by=None, as_organiser=True, **said):
        return services.change_incident(
            incident=incident,
            values=said,
            by=by or self.nora,
            now=NOW,
            as_organiser=as_organiser,
        )

    def page(self, incident, user=None, *, whole=True):
        row = Incident.objects.for_page().get(pk=incident.pk)
        return selectors.incident_page(row, user or self.nora, whole=whole)


class ReportTests(IncidentCase):
    def test_three_things_and_a_press(self):
        incident = self.report()
        assert incident.reported_by == self.ann
        assert incident.keep_until == date(2029, 8, 12)

    def test_the_same_page_sent_twice_is_one_incident(self):
        said = {"demonstration": self.place, "values": QUICK, "now": NOW}
        first = services.report_incident(**said, by=self.ann, key="one-page")
        again = services.report_incident(**said, by=self.ann, key="one-page")
        assert first == again
        assert Incident.objects.count() == 1

    def test_another_persons_key_is_no_way_to_their_report(self):
        said = {"demonstration": self.place, "values": QUICK, "now": NOW}
        first = services.report_incident(**said, by=self.ann, key="one-page")
        other = services.report_incident(**said, by=self.torin, key="one-page")
        assert first != other
        assert other.key != "one-page"

    def test_what_has_not_happened_yet_is_refused_but_for_slow_clocks(self):
        self.report(happened_at=NOW + timedelta(minutes=5))
        with pytest.raises(ValidationError, match="That time is in the future"):
            self.report(happened_at=NOW + timedelta(hours=1))

    def test_missing_words_are_refused_by_field(self):
        with pytest.raises(ValidationError, match="account"):
            self.report(account="")


class ChangeTests(IncidentCase):
    def test_every_change_is_kept_as_before_and_after(self):
        incident = self.change(self.report(), place="The plank", fatal=False)
        change = IncidentChange.objects.get(incident=incident)
        assert change.what == {
            "place": ["Edge of the dam", "The plank"],
            "fatal": [None, False],
        }
        assert change.by == self.nora

    def test_no_change_leaves_no_line(self):
        self.change(self.report(), place="Edge of the dam")
        assert not IncidentChange.objects.exists()

    def test_whoever_reported_it_adds_to_it_until_it_is_complete(self):
        incident = self.report()
        self.change(incident, by=self.ann, as_organiser=False, injury="A cut thumb")
        Incident.objects.update(completed_at=NOW, completed_by=self.nora)
        with pytest.raises(ValidationError, match="has completed this"):
            self.change(incident, by=self.ann, as_organiser=False, injury="Two")

    def test_they_change_nothing_that_an_organiser_has_written_in(self):
        incident = self.change(self.report(), injury="Crushed finger")
        changed = self.change(
            incident,
            by=self.ann,
            as_organiser=False,
            injury="Nothing",
            learnt="Never mind",
            done="Cold water",
        )
        assert (changed.injury, changed.learnt) == ("Crushed finger", "")
        assert changed.done == "Cold water"

    def test_days_out_of_order_are_refused(self):
        incident = self.report()
        with pytest.raises(ValidationError, match="after it happened"):
            self.change(incident, is_child=True, born_on=date(2026, 9, 1))
        said = {"told_authority_how": "By form", "not_told_why": ""}
        for day in (date(2026, 8, 11), date(2026, 8, 13)):
            with pytest.raises(ValidationError, match="until today"):
                services.decide_reporting(
                    incident=incident,
                    values=said | {"told_authority_on": day},
                    by=self.nora,
                    now=NOW,
                )

    def test_the_database_wants_a_name_for_completing(self):
        with pytest.raises(IntegrityError, match="incident_completed_by_somebody"):
            make_incident(demonstration=self.place, completed_at=NOW)

    def test_the_database_knows_its_choices(self):
        with pytest.raises(IntegrityError, match="incident_choices_known"):
            make_incident(demonstration=self.place, kind="gossip")


class DecisionTests(IncidentCase):
    def decide(self, incident, on=None, how="", why=""):
        return services.decide_reporting(
            incident=incident,
            values={
                "told_authority_on": on,
                "told_authority_how": how,
                "not_told_why": why,
            },
            by=self.nora,
            now=NOW,
        )

    def test_reported_or_not_with_words(self):
        incident = self.report()
        self.decide(incident, TODAY, "By the form, 4711")
        assert self.decide(incident, why="No employer").not_told_why == "No employer"
        assert IncidentChange.objects.count() == 2

    def test_both_and_halves_are_refused(self):
        incident = self.report()
        with pytest.raises(ValidationError, match="leave this empty"):
            self.decide(incident, TODAY, "By the form", "No employer")
        with pytest.raises(ValidationError, match="told_authority_how"):
            self.decide(incident, TODAY)
        with pytest.raises(ValidationError, match="told_authority_on"):
            self.decide(incident, how="By the form")

    def test_complete_once_nothing_is_lacking(self):
        incident = self.report()
        with pytest.raises(ValidationError) as refusal:
            services.finish_incident(incident=incident, by=self.nora, now=NOW)
        assert len(refusal.value.messages) == 5
        self.change(
            incident, who="volunteer", injury="Cut", done="Plaster", learnt="Gloves"
        )
        self.decide(incident, why="No employer")
        done = services.finish_incident(incident=incident, by=self.nora, now=NOW)
        assert done.completed_by == self.nora
        with pytest.raises(ValidationError, match="This is already complete"):
            services.finish_incident(incident=incident, by=self.nora, now=NOW)
        assert "completed" in self.page(incident).changes[0].what[0][0]

    def test_a_near_miss_wants_less(self):
        incident = self.report(kind="near_miss")
        assert len(selectors.reasons_not_to_finish(incident)) == 2


class PromptTests(IncidentCase):
    def advice(self, **said):
        incident = self.change(self.report(), **said)
        return self.page(incident).advice

    def test_hses_five_published_cases(self):
        for name, (known, answer) in HSE_CASES.items():
            asked = ("work_related", "employer", "on_public_road")
            fields = dict(zip(asked, known, strict=False))
            with self.subTest(name):
                advice = self.advice(
                    who="volunteer",
                    fatal=False,
                    treated_in_hospital=known[3],
                    **fields,
                )
                assert advice.answer is answer
                assert advice.reasons
                assert advice.is_likely is (answer is Reporting.LIKELY)

    def test_what_is_not_known_is_asked_for(self):
        assert self.advice(who="visitor").answer is Reporting.ASK
        assert "who was hurt" in self.advice().reasons[0]

    def test_a_near_miss_is_no_promise_either(self):
        advice = self.advice(kind="near_miss")
        assert advice.answer is Reporting.ASK
        assert "all the same" in advice.reasons[0]

    def test_elsewhere_the_authority_of_the_place_is_asked(self):
        for place in ("ni", "ie", "elsewhere"):
            self.place.jurisdiction = place
            self.place.save()
            advice = self.advice(who="volunteer", fatal=True)
            assert "Ask the local safety authority" in advice.reasons[0]


class KeepingTests(IncidentCase):
    def until(self, **said):
        return self.change(self.report(), **said).keep_until

    def test_three_years_for_an_adult(self):
        assert self.until(who="volunteer") == date(2029, 8, 12)

    def test_a_childs_until_they_are_21(self):
        incident = self.change(self.report(), is_child=True, born_on=date(2014, 5, 1))
        assert incident.keep_until == date(2035, 5, 1)
        assert "by our own rule" in self.page(incident).keeping.why

    def test_never_less_than_three_years(self):
        born = date(2008, 9, 1)
        assert self.until(is_child=True, born_on=born) == date(2029, 9, 1)
        born = date(2008, 1, 1)
        assert self.until(is_child=True, born_on=born) == date(2029, 8, 12)

    def test_without_a_birth_date_the_latest_it_could_be(self):
        assert self.until(is_child=True) == date(2047, 8, 12)
        incident = self.change(self.report(), is_child=True)
        assert "latest it could be" in self.page(incident).keeping.why

    def test_a_volunteers_own_age_or_birth_date_is_used(self):
        said = {"demonstration": self.place, "user": None}
        guardian = make_volunteer(demonstration=self.place)
        child = make_volunteer(age_band=AgeBand.FROM_13, guardian=guardian, **said)
        assert self.until(volunteer=child) == date(2034, 8, 12)
        child.born_on = date(2012, 1, 1)
        child.save()
        assert self.until(volunteer=child) == date(2033, 1, 1)

    def test_a_leap_day_comes_round(self):
        assert years_on(date(2024, 2, 29), 3) == date(2027, 3, 1)
        assert years_on(date(2024, 2, 29), 4) == date(2028, 2, 29)

    def test_deleted_when_its_day_is_over_unless_it_is_held(self):
        _gone, held = self.report(), self.report()
        services.hold_incident(incident=held, held_for="a claim", by=self.nora, now=NOW)
        assert not Incident.objects.due(date(2029, 8, 12)).exists()
        Incident.objects.due(date(2029, 8, 13)).delete()
        assert Incident.objects.get() == held


class PartTests(IncidentCase):
    def test_witnesses_come_and_go_and_the_history_keeps_them(self):
        incident = self.report()
        values = {"name": "Torin Reed", "contact": "", "says": "It slid."}
        row = Witness(incident=incident, added_by=self.nora)
        keep = {"witness": row, "by": self.nora, "now": NOW}
        witness = services.keep_witness(values=values, **keep)
        services.keep_witness(values=values, **keep)
        services.keep_witness(values=values | {"says": "It fell."}, **keep)
        services.take_away_witness(witness=witness, by=self.nora, now=NOW)
        assert not Witness.objects.exists()
        found = [change.what["witness"] for change in IncidentChange.objects.all()]
        assert found == [
            ["Torin Reed; It fell.", ""],
            ["Torin Reed; It slid.", "Torin Reed; It fell."],
            ["", "Torin Reed; It slid."],
        ]

    def test_a_photograph_is_redrawn_without_where_it_was_taken(self):
        piece = services.add_photograph(
            incident=self.report(),
            prepared=prepared(photograph(place=True)),
            words="The plank",
            by=self.ann,
            now=NOW,
        )
        with piece.file.open("rb") as stored:
            image = Image.open(stored)
            assert not dict(image.getexif())
        assert piece.key in piece.file.name

    def test_what_is_no_photograph_is_refused(self):
        with pytest.raises(ValidationError, match="not a photograph"):
            prepared(b"%PDF-1.7 nothing to see")

    def test_enough_is_enough(self):
        incident = self.report()
        for _each in range(MOST_PHOTOGRAPHS):
            make_evidence(incident=incident)
        with pytest.raises(ValidationError, match="photographs already"):
            services.add_photograph(
                incident=incident,
                prepared=prepared(),
                words="More",
                by=self.ann,
                now=NOW,
            )

    def test_a_row_that_fails_leaves_no_file(self):
        incident, ready = self.report(), prepared()
        stored = []

        def broken(*args, **kwargs):
            stored.extend(Evidence.objects.all())
            raise RuntimeError("no history")

        with (
            patch.object(services, "note_change", broken),
            pytest.raises(RuntimeError, match="no history"),
        ):
            services.add_photograph(
                incident=incident, prepared=ready, words="One", by=self.ann, now=NOW
            )
        assert not stored[0].file.storage.exists(stored[0].file.name)

    def test_a_row_that_is_never_written_has_no_file_to_tidy(self):
        incident, ready = self.report(), prepared()

        def broken(*args, **kwargs):
            raise RuntimeError("no room")

        with (
            patch.object(Evidence, "save", broken),
            pytest.raises(RuntimeError, match="no room"),
        ):
            services.add_photograph(
                incident=incident, prepared=ready, words="One", by=self.ann, now=NOW
            )
        assert not Evidence.objects.exists()

    def test_a_photograph_is_deleted_file_and_all(self):
        piece = make_evidence(incident=self.report())
        with self.captureOnCommitCallbacks(execute=True):
            services.take_away_photograph(piece=piece, by=self.nora, now=NOW)
        assert not piece.file.storage.exists(piece.file.name)
        assert IncidentChange.objects.get().what == {
            "photograph": ["The wet plank.", ""]
        }

    def test_a_file_that_is_lost_does_not_stop_the_sheet(self):
        incident = self.report()
        make_evidence(incident=incident)
        lost = make_evidence(incident=incident)
        lost.file.storage.delete(lost.file.name)
        assert len(services.photographs_of(incident)) == 1


class ReadingTests(IncidentCase):
    def test_a_reporter_reads_their_own_words_as_they_left_them(self):
        incident = self.report()
        self.change(incident, by=self.ann, as_organiser=False, injury="A cut thumb")
        self.change(incident, injury="Thumb cut to the bone", hurt_contact="07700")
        make_witness(incident=incident, added_by=self.nora, name="Secret Witness")
        make_evidence(incident=incident, added_by=self.nora)
        page = self.page(incident, self.ann, whole=False)
        said = {fact.label: fact.words for fact in page.facts}
        assert said["the injury or illness"] == "A cut thumb"
        assert "how to reach them" not in said
        assert page.witnesses == page.photographs == ()
        assert {change.by for change in page.changes} == {self.ann}
        assert self.page(incident).incident.injury == "Thumb cut to the bone"

    def test_moments_and_days_come_back_from_the_history(self):
        incident = self.report(born_on=date(2014, 5, 1))
        was = incident.happened_at
        incident = self.change(
            incident, happened_at=NOW - timedelta(days=1), born_on=None
        )
        words = own_words(incident, list(incident.changes.all()))
        assert words["happened_at"] == was
        assert words["born_on"] == date(2014, 5, 1)

    def test_words_for_what_is_kept(self):
        assert words_for("fatal", None) == "not known"
        assert words_for("fatal", True) == "yes"
        assert words_for("injury", "") == "nothing"
        assert words_for("born_on", date(2014, 5, 1)) == "1 May 2014"
        assert words_for("who", "visitor") == "a visitor"
        assert words_for("photograph", "") == "nothing"
        assert words_for("account", "It slid.") == "It slid."

    def test_pages_and_lists_cost_the_same_whatever_their_length(self):
        incident = self.report()
        rows = Incident.objects.visible_to(self.nora).of(self.place)
        for _each in range(2):
            make_witness(incident=incident)
            make_evidence(incident=incident)
            make_incident_change(incident=incident)
            self.report()
            row = Incident.objects.for_page().get(pk=incident.pk)
            with self.assertNumQueries(3):
                selectors.incident_page(row, self.nora, whole=True)
            with self.assertNumQueries(2):
                selectors.incident_lines(rows, whole=True)
            with self.assertNumQueries(1):
                selectors.register(self.place, TODAY, TODAY)
            with self.assertNumQueries(2):
                selectors.open_matters(self.place)

    def test_the_register_holds_whole_days_of_the_place(self):
        late = self.report(happened_at=NOW)
        make_incident(demonstration=self.place, happened_at=NOW - timedelta(days=2))
        found = selectors.register(self.place, TODAY, TODAY)
        assert found.rows == (late,)

    def test_open_matters_are_counted(self):
        self.report()
        make_lost_child(demonstration=self.place)
        make_lost_child(demonstration=self.place, closed_at=NOW, outcome="Found")
        found = selectors.open_matters(self.place)
        assert (found.incidents, found.children) == (1, 1)
