"""A form calls its service, and a refusal comes back to the field it speaks of."""

import pytest
from django import forms
from django.contrib.messages import get_messages
from django.contrib.messages.storage.fallback import FallbackStorage
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction
from django.test import RequestFactory, SimpleTestCase, TestCase

from heritage.common.forms import RecordForm, ServiceForm, refusals_shown
from heritage.common.rows import (
    add_together,
    broken_rules_said,
    keep_record,
    remove_record,
)
from heritage.grounds.models import Exit
from heritage.machines.models import Guard
from tests.factories import make_demonstration, make_machine


class BeetsForm(ServiceForm):
    field_of = {"counted": "beets"}

    beets = forms.IntegerField()

    def write(self, *, by: str) -> str:
        refusal = self.cleaned_data["beets"] - 12
        if refusal > 0:
            raise ValidationError({"counted": "Too many.", "elsewhere": "Not that."})
        if refusal < 0:
            raise ValidationError("Count again.")
        return by


class SubmitTests(SimpleTestCase):
    def test_a_good_form_keeps_what_the_service_gave(self):
        form = BeetsForm({"beets": "12"})
        assert form.submit(by="Ann")
        assert form.saved == "Ann"

    def test_a_blank_or_a_bad_form_calls_nothing(self):
        for data in (None, {}, {"beets": "many"}):
            form = BeetsForm(data)
            assert not form.submit(by="Ann")
            assert form.saved is None

    def test_a_refusal_comes_back_to_its_field_or_stands_above(self):
        form = BeetsForm({"beets": "13"})
        assert not form.submit(by="Ann")
        assert form.errors == {"beets": ["Too many."], "__all__": ["Not that."]}
        form = BeetsForm({"beets": "11"})
        assert not form.submit(by="Ann")
        assert form.non_field_errors() == ["Count again."]

    def test_a_button_refused_says_why_on_the_next_page(self):
        request = RequestFactory().post("/")
        request.session = {}
        request._messages = FallbackStorage(request)
        with refusals_shown(request):
            raise ValidationError(["First.", "Second."])
        assert [str(one) for one in get_messages(request)] == ["First.", "Second."]


class WayOutForm(RecordForm):
    class Meta:
        model = Exit
        fields = ["name", "width_m"]


class RecordFormTests(TestCase):
    def test_all_is_said_at_once_and_the_row_stays_as_it_was(self):
        row = Exit(demonstration=make_demonstration(), name="The lane", width_m=3)
        form = WayOutForm({"name": "", "width_m": "-1"}, instance=row)
        assert not form.submit()
        assert set(form.errors) == {"name", "width_m"}
        form = WayOutForm({"name": "The gap", "width_m": "-1"}, instance=row)
        assert not form.submit()
        assert (row.name, row.width_m) == ("The lane", 3)
        form = WayOutForm({"name": "The gap", "width_m": "2"}, instance=row)
        assert form.submit()
        assert Exit.objects.get().name == "The gap"


class RecordTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.values = {"name": "The lane", "width_m": 3, "ground": "level"}

    def new(self):
        return Exit(demonstration=self.place)

    def test_a_record_is_kept_changed_and_taken_away(self):
        row = keep_record(row=self.new(), values=self.values)
        keep_record(row=row, values={"width_m": 4})
        assert Exit.objects.get().width_m == 4
        remove_record(row=row)
        assert not Exit.objects.exists()

    def test_a_broken_rule_is_said_in_its_own_sentence(self):
        keep_record(row=self.new(), values=self.values)
        twin, narrow = self.new(), self.new()
        for name, value in self.values.items():
            setattr(twin, name, value)
            setattr(narrow, name, value)
        narrow.name, narrow.width_m = "The gap", 0
        for row in (twin, narrow):
            with pytest.raises(ValidationError) as full:
                row.full_clean()
            with pytest.raises(ValidationError) as raw, broken_rules_said(Exit):
                row.save()
            assert set(raw.value.messages) <= set(full.value.messages)

    def test_rows_added_together_are_checked_like_one(self):
        machine = make_machine()
        add_together([], parent="machine")
        with self.assertNumQueries(3):
            rows = [Guard(machine=machine, name=name) for name in ("Belt", "Chain")]
            add_together(rows, parent="machine")
        names = list(machine.guards.values_list("name", flat=True))
        assert names[-2:] == ["Belt", "Chain"]
        for name, words in (
            ("", "Please fill this in"),
            ("Belt", "already on the list"),
        ):
            with pytest.raises(ValidationError, match=words):
                add_together([Guard(machine=machine, name=name)], parent="machine")

    def test_what_is_no_rule_of_the_table_is_not_hidden(self):
        with (
            pytest.raises(IntegrityError),
            transaction.atomic(),
            broken_rules_said(Exit),
        ):
            raise IntegrityError("FOREIGN KEY constraint failed")
