"""The form pack: hints, errors and their links, seen in the HTML."""

import re
from html.parser import HTMLParser

import pytest
from crispy_forms.bootstrap import (
    FieldWithButtons,
    FormActions,
    InlineRadios,
    PrependedAppendedText,
    StrictButton,
)
from crispy_forms.helper import FormHelper
from crispy_forms.layout import (
    ButtonHolder,
    Column,
    Div,
    Field,
    Fieldset,
    Layout,
    MultiField,
    Reset,
    Row,
    Submit,
)
from crispy_forms.utils import render_crispy_form
from django import forms
from django.template.loader import render_to_string

from tests.common.look_form import EveningForm

pytestmark = pytest.mark.urls("tests.common.look_urls")


class Ids(HTMLParser):
    """Collects ids, what points at them, and the tags seen."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.pointers: set[str] = set()
        self.tags: list[str] = []
        self.feed(html)

    def handle_starttag(self, tag, attrs) -> None:
        given = dict(attrs)
        self.tags.append(tag)
        if "id" in given:
            self.ids.append(given["id"])
        self.pointers.update((given.get("aria-describedby") or "").split())
        self.pointers.update((given.get("for") or "").split())
        if (given.get("href") or "").startswith("#"):
            self.pointers.add(given["href"][1:])


def whole(form: forms.Form) -> str:
    return tidy(render_to_string("_form.html", {"form": form, "submit": "Post it"}))


def tidy(html: str) -> str:
    """Return markup as a browser takes it: where a tag's line broke says nothing."""
    return re.sub(r"\s+(?=>)", "", re.sub(r"\s+", " ", html))


def with_layout(*parts: object, form: forms.Form | None = None) -> str:
    form = form or EveningForm()
    form.helper = FormHelper()
    form.helper.layout = Layout(*parts)
    return tidy(render_crispy_form(form))


def test_every_pointer_finds_its_mark_once() -> None:
    for form in (EveningForm(), EveningForm({})):
        seen = Ids(whole(form))
        assert seen.pointers <= set(seen.ids)
        assert len(seen.ids) == len(set(seen.ids))


def test_hint_and_error_are_told_with_the_field() -> None:
    html = whole(EveningForm({}))
    assert 'aria-describedby="id_name_helptext id_name_error"' in html
    assert 'id="id_name_helptext"' in html
    assert '<p class="field-error">Name: Please fill this in.</p>' in html
    assert html.count('aria-invalid="true"') >= 3


def test_the_summary_links_to_what_must_be_put_right() -> None:
    html = whole(EveningForm({"name": "Tuesday"}))
    assert '<a href="#id_beets">Beets: Please fill this in.</a>' in html
    assert '<a href="#div_id_plot">Plot: Please choose one.</a>' in html
    assert "#id_name" not in html
    assert html.index("puts-right") < html.index("field-error")


def test_a_clean_form_has_no_summary() -> None:
    assert "puts-right" not in whole(EveningForm())


def test_errors_of_the_whole_form_are_in_the_summary() -> None:
    form = EveningForm({})
    form.add_error(None, "The evening is too dark.")
    assert "<li>The evening is too dark.</li>" in whole(form)


def test_an_error_in_a_hidden_field_is_not_lost() -> None:
    form = EveningForm({})
    form.add_error("token", "Load the page again.")
    assert "Token: Load the page again." in whole(form)


def test_choices_are_a_named_group_and_keep_what_was_chosen() -> None:
    html = whole(EveningForm({"plot": "high", "work": ["dam"]}))
    assert "<legend>Plot" in html
    assert re.search(r'value="high"[^>]* checked', html)
    assert re.search(r'value="dam"[^>]* checked', html)
    assert html.count(" checked") == 2
    assert '<div class="choice-group">Field</div>' in html
    assert 'aria-describedby="id_work_helptext"' in html


def test_optional_fields_say_so() -> None:
    html = whole(EveningForm())
    assert "Log <small>optional</small>" in html
    assert "Name <small>" not in html


def test_a_form_with_files_is_sent_as_such() -> None:
    assert 'enctype="multipart/form-data"' in whole(EveningForm())


def test_a_labelled_box_wraps_its_words() -> None:
    html = whole(EveningForm())
    assert "<span>Tell everybody</span></label>" in html


def test_layouts_keep_the_look() -> None:
    html = with_layout(
        Fieldset("When", Row(Column("name"), "beets"), css_class="wide"),
        Div("tell", css_id="telling"),
        MultiField("More", "log"),
        InlineRadios("plot"),
        PrependedAppendedText("starts", "from", "on"),
        ButtonHolder(Submit("save", "Save"), Reset("again", "Begin again")),
        FormActions(StrictButton("Look", css_class="act-quiet", type="submit")),
    )
    assert "<legend>When</legend>" in html
    assert 'class="row"' in html
    assert 'id="telling"' in html
    assert "choices-inline" in html
    assert "<span>from</span>" in html
    assert 'class="act ' in html or 'class="act"' in html
    assert "btn-primary" not in html
    assert "<form" in html


def test_field_with_buttons_keeps_label_and_button() -> None:
    button = StrictButton("Find", css_class="act-quiet")
    html = with_layout(FieldWithButtons("name", button), Field("beets"))
    assert 'for="id_name"' in html
    assert ">Find</button>" in html


def test_a_set_of_forms_numbers_its_parts() -> None:
    formset = forms.formset_factory(EveningForm, extra=2)()
    html = tidy(render_crispy_form(formset))
    assert "<legend>1</legend>" in html
    assert 'name="form-TOTAL_FORMS"' in html
    seen = Ids(html)
    assert len(seen.ids) == len(set(seen.ids))


def test_a_set_of_forms_can_be_a_table() -> None:
    formset = forms.formset_factory(EveningForm, extra=1)()
    formset.helper = FormHelper()
    formset.helper.template = "field/table_inline_formset.html"
    html = tidy(render_crispy_form(formset, formset.helper))
    assert '<table class="ledger">' in html
    assert "Name, line 1</label>" in html
