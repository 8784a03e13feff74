from datetime import timedelta
from decimal import Decimal
from io import BytesIO

import pytest
from django.contrib.auth.models import AnonymousUser
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import TestCase
from django.urls import reverse
from pypdf import PdfReader

from heritage.common import clock
from heritage.machines import selectors, services, sheets
from heritage.machines.models import Machine, MachineKind
from tests.factories import (
    NOW,
    make_competence,
    make_demonstration,
    make_emergency_plan,
    make_gathering,
    make_machine,
    make_machine_check,
    make_organiser,
    make_user,
    make_volunteer,
)

LEFT, RIGHT = "Belt guard, left", "Belt guard, right"
PULLER = {
    "name": "Flax puller",
    "kind": MachineKind.PULLER,
    "stop": "The driver.",
}
CART = {"name": "Cart", "kind": "trailer", "stop": "x"}


def text_of(pdf):
    pages = PdfReader(BytesIO(pdf)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


class MachineCase(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.ann = make_volunteer(demonstration=cls.place, name="Ann Rush")
        cls.puller = services.keep_machine(
            machine=Machine(demonstration=cls.place),
            values=PULLER,
            guards=[LEFT, RIGHT, LEFT],
        )

    def check(self, *present, by=None, now=NOW, note=""):
        return services.check_machine(
            machine=self.puller,
            present=present,
            by=by or self.nora.user,
            now=now,
            note=note,
        )

    def today(self, now=NOW):
        return selectors.machines_today(self.place, now)[0]


class ModelTests(MachineCase):
    def test_a_missing_guard_never_runs_whoever_writes_it(self):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_machine_check(machine=self.puller, missing=[LEFT], may_run=True)

    def test_names_are_given_once_and_guards_once_each(self):
        with pytest.raises(IntegrityError), transaction.atomic():
            make_machine(demonstration=self.place, name="Flax puller")
        with pytest.raises(IntegrityError), transaction.atomic():
            self.puller.guards.create(name=LEFT)

    def test_organisers_and_leads_of_the_evening_check_the_guards(self):
        lead = make_volunteer(demonstration=self.place)
        evening = make_gathering(demonstration=self.place, lead=lead)
        may = {self.nora.user: True, lead.user: True, self.ann.user: False}
        may |= {make_organiser().user: False, AnonymousUser(): False}
        for user, allowed in may.items():
            rows = Machine.objects.run_by(user, NOW)
            assert rows.contains(self.puller) is allowed
        assert not Machine.objects.run_by(lead.user, evening.ends_at).exists()


class ServiceTests(MachineCase):
    def test_guards_are_kept_in_order_and_once(self):
        assert [guard.name for guard in self.puller.guards.all()] == [LEFT, RIGHT]

    def test_a_machine_without_guards_is_refused(self):
        with pytest.raises(ValidationError, match="Enter the guards, one on each line"):
            services.keep_machine(
                machine=Machine(demonstration=self.place), values=CART, guards=[]
            )

    def test_who_may_work_it_is_asked_for_here(self):
        here = make_competence(demonstration=self.place)
        cart = services.keep_machine(
            machine=Machine(demonstration=self.place),
            values=CART | {"worked_by": here},
            guards=["Pin"],
        )
        assert cart.worked_by == here
        with pytest.raises(ValidationError, match="one of the skills here"):
            services.keep_machine(
                machine=cart,
                values=CART | {"worked_by": make_competence()},
                guards=["Pin"],
            )

    def test_changing_it_keeps_the_guards_that_stay(self):
        kept = self.puller.guards.get(name=RIGHT)
        services.keep_machine(
            machine=self.puller, values={"name": "Puller"}, guards=[RIGHT, "Cover"]
        )
        assert [guard.name for guard in self.puller.guards.all()] == [RIGHT, "Cover"]
        assert self.puller.guards.get(name=RIGHT) == kept

    def test_one_that_was_checked_stays(self):
        self.check(LEFT, RIGHT)
        with pytest.raises(
            ValidationError, match="has been checked, and we keep those checks"
        ):
            services.delete_machine(machine=self.puller)
        unused = make_machine(demonstration=self.place)
        services.delete_machine(machine=unused)
        assert not Machine.objects.filter(pk=unused.pk).exists()

    def test_all_guards_in_place_let_it_run_and_one_missing_does_not(self):
        good = self.check(RIGHT, LEFT, note=" Oiled ")
        assert (good.present, good.missing, good.may_run) == ([LEFT, RIGHT], [], True)
        assert (good.note, good.checked_at, good.checked_by) == (
            "Oiled",
            NOW,
            self.nora.user,
        )
        bad = self.check(LEFT)
        assert (bad.missing, bad.may_run) == ([RIGHT], False)

    def test_others_do_not_check(self):
        for person in (self.ann, make_organiser()):
            with pytest.raises(ValidationError, match="Only an organiser or the lead"):
                self.check(LEFT, RIGHT, by=person.user)

    def test_guards_that_are_not_on_the_list_are_refused(self):
        with pytest.raises(ValidationError, match="list of guards has changed"):
            self.check(LEFT, "Old cover")
        self.puller.guards.all().delete()
        with pytest.raises(ValidationError, match="guards first"):
            self.check()

    def test_the_usual_machines_are_added_once(self):
        added = services.load_starting_machines(demonstration=self.place)
        assert [one.kind for one in added] == ["tractor", "trailer", "breaker"]
        assert services.load_starting_machines(demonstration=self.place) == []
        assert all(one.guards.count() >= 3 for one in added)


class TodayTests(MachineCase):
    def test_not_checked_today_is_not_run(self):
        assert not self.today().may_run
        assert (self.today().tag, self.today().check) == ("tag-due", None)
        assert "not checked today" in self.today().words
        self.check(LEFT, RIGHT, now=NOW - timedelta(hours=19))
        assert self.today().check is None

    def test_the_last_check_of_the_day_holds(self):
        self.check(LEFT, now=NOW - timedelta(hours=2))
        assert self.today().words == (
            "can't run in public today. Missing: Belt guard, right"
        )
        assert self.today().tag == "tag-off"
        self.check(LEFT, RIGHT, now=NOW - timedelta(hours=1))
        assert (self.today().may_run, self.today().tag) == (True, "tag-go")
        assert "every guard in place" in self.today().words
        make_machine(demonstration=self.place, kind="tractor", name="Tractor")
        assert (
            "can't run if a tractor drives it: no tractor may run today"
            in self.today().words
        )

    def test_a_guard_written_down_after_the_check_was_not_seen(self):
        self.check(LEFT, RIGHT)
        self.puller.guards.create(name="Cover")
        assert not self.today().may_run
        assert self.today().words.endswith("Missing: Cover")

    def test_three_queries_for_one_machine_or_five(self):
        for more in (0, 4):
            for _ in range(more):
                make_machine_check(machine=make_machine(demonstration=self.place))
            with self.assertNumQueries(3):
                rows = selectors.machines_today(self.place, NOW)
                assert [row.words for row in rows]
        assert len(rows) == 5

    def test_the_page_says_the_fuel_rule_of_the_place(self):
        page = selectors.machine_page(self.puller, NOW)
        assert page.litres == 0
        assert "We don't know the petrol rules here" in page.fuel
        self.place.jurisdiction = "gb"
        self.place.save(update_fields=["jurisdiction"])
        make_emergency_plan(demonstration=self.place, petrol_l=Decimal(31))
        page = selectors.machine_page(Machine.objects.get(pk=self.puller.pk), NOW)
        assert page.fuel == "Above 30 L the petroleum authority must be told."
        assert page.age.least_age == 16
        tractor = make_machine(demonstration=self.place, kind="tractor")
        assert selectors.machine_page(tractor, NOW).age.least_age == 18

    def test_the_page_costs_the_same_for_one_check_or_many(self):
        row = Machine.objects.for_page().get(pk=self.puller.pk)
        for count in (1, 30):
            for _ in range(count):
                make_machine_check(machine=self.puller, checked_by=make_user())
            with self.assertNumQueries(5):
                page = selectors.machine_page(row, NOW)
                assert [str(check.checked_by) for check in page.past]
        assert len(page.past) == 20


@pytest.mark.any_database
class SheetTests(MachineCase):
    def test_the_sheet_has_the_rules_and_a_table_to_tick(self):
        page = selectors.machine_page(self.puller, NOW)
        for large in (False, True):
            pdf = sheets.machine_sheet(page, printed_on=NOW.date(), large_print=large)
            text = text_of(pdf)
            for words in (
                "A missing guard means it does not run",
                "Wait until everything is still",
                "Nobody under 16",
                "Check that it is the right one",
                "30 minutes after the last thunder",
                "Daily check",
                LEFT,
                "Checked by",
            ):
                assert words in text


class ViewTests(MachineCase):
    def url(self, view, *args):
        return reverse(f"machines:{view}", args=[self.place.slug, *args])

    def be(self, person):
        self.client.force_login(person.user)

    def test_a_volunteer_reads_and_does_not_write(self):
        self.be(self.ann)
        page = self.client.get(self.url("machines"))
        self.assertContains(page, "not checked today")
        self.assertNotContains(page, "Check the guards")
        own = self.client.get(self.url("machine", self.puller.pk))
        self.assertContains(own, LEFT)
        self.assertContains(own, "wait until everything is still")
        pdf = self.client.get(self.url("machine_sheet", self.puller.pk), {"large": 1})
        assert pdf.content.startswith(b"%PDF")
        check = self.url("check_machine", self.puller.pk)
        assert self.client.post(check).status_code == 404
        assert self.client.get(self.url("add_machine")).status_code == 403

    def test_an_organiser_checks_it_twice(self):
        self.be(self.nora)
        check = self.url("check_machine", self.puller.pk)
        self.assertContains(self.client.get(check), RIGHT)
        page = self.client.post(check, {"present": [LEFT]}, follow=True)
        self.assertContains(page, "run in public today")
        page = self.client.post(check, {"present": [LEFT, RIGHT]}, follow=True)
        self.assertContains(page, "every guard in place")
        nonsense = self.client.post(check, {"present": ["Hat"]})
        assert "present" in nonsense.context["form"].errors

    def test_a_lead_of_the_evening_checks_it(self):
        lead = make_volunteer(demonstration=self.place)
        make_gathering(
            demonstration=self.place,
            lead=lead,
            ends_at=clock.now() + timedelta(hours=3),
        )
        self.be(lead)
        self.client.post(
            self.url("check_machine", self.puller.pk), {"present": [LEFT, RIGHT]}
        )
        assert self.puller.checks.get().checked_by == lead.user

    def test_an_organiser_writes_changes_and_takes_off(self):
        self.be(self.nora)
        said = {"name": "Cart", "kind": "trailer", "stop": "Driver", "guards": " \n"}
        refused = self.client.post(self.url("add_machine"), said)
        assert "guards" in refused.context["form"].errors
        self.assertContains(refused, 'value="Cart"')
        long = self.client.post(self.url("add_machine"), said | {"guards": "x" * 121})
        self.assertContains(long, "name can have up to 120 letters")
        self.client.post(self.url("add_machine"), said | {"guards": "Pin\n\nSides"})
        cart = Machine.objects.get(name="Cart")
        assert [guard.name for guard in cart.guards.all()] == ["Pin", "Sides"]
        edit = self.url("edit_machine", cart.pk)
        self.assertContains(self.client.get(edit), "Pin\nSides")
        page = self.client.post(edit, said | {"guards": "Pin"}, follow=True)
        self.assertContains(page, "Saved.")
        self.assertContains(self.client.get(edit), "Delete the machine")
        gone = self.client.post(edit, {"away": "1"})
        self.assertRedirects(gone, self.url("machines"))
        assert not Machine.objects.filter(pk=cart.pk).exists()

    def test_the_usual_ones_are_offered(self):
        self.be(self.nora)
        page = self.client.post(self.url("load_machines"), follow=True)
        self.assertContains(page, "3 machines added")

    def test_a_strangers_machine_is_not_found(self):
        self.be(self.nora)
        other = make_machine().pk
        for view in ("machine", "edit_machine", "check_machine", "machine_sheet"):
            assert self.client.get(self.url(view, other)).status_code == 404
