"""What is written of a gathering is asked, kept and said wherever it should be.

Every text field is found from the list of what is posted, so that a new one is asked
about here until it is said everywhere, or left out by name.
"""

from datetime import date
from io import BytesIO

from django.core import mail
from django.template.loader import render_to_string
from pypdf import PdfReader

from heritage.gatherings.forms import WorkForm
from heritage.gatherings.ground.selectors import calendar_entry
from heritage.gatherings.letters.mail import reminder
from heritage.gatherings.models import Gathering, Pattern, SignUp
from heritage.gatherings.services import PATTERN_FIELDS, Details
from heritage.public import selectors as public_selectors
from heritage.public import sheets
from tests.factories import NOW
from tests.gatherings.evening import EveningCase

POSTED = [Gathering._meta.get_field(name) for name in Details.__annotations__]
WRITTEN = {
    field.name: f"Said of {field.name}."
    for field in POSTED
    if field.get_internal_type() in ("CharField", "TextField") and not field.choices
}
# What the work is stands on the page, the poster and in calendars: letters stay short.
NOT_IN_LETTERS = {"note"}


def test_the_list_is_not_empty():
    assert {"title", "place", "bring", "note"} <= set(WRITTEN)


def test_a_pattern_keeps_all_that_it_has():
    fields = {field.name for field in Pattern._meta.fields}
    assert fields - {"id", "demonstration"} == {*PATTERN_FIELDS}


class EachFieldTests(EveningCase):
    @classmethod
    def setUpTestData(cls):
        super().setUpTestData()
        Gathering.objects.update(**WRITTEN)
        cls.row = Gathering.objects.for_page().get(pk=cls.gathering.pk)

    def require(self, text, besides=()):
        words = " ".join(text.split())
        said = {name for name, value in WRITTEN.items() if value in words}
        assert said >= {*WRITTEN} - {*besides}

    def test_its_page_says_each(self):
        response = self.page("gathering", self.row.pk)
        self.require(response.content.decode())

    def test_calendars_say_each(self):
        entry = calendar_entry(self.row)
        self.require(f"{entry.summary} {entry.location} {entry.description}")

    def test_the_poster_says_each(self):
        pdf = sheets.poster(
            public_selectors.poster(self.row),
            address="https://flax.example/1/",
            printed_on=date(2026, 8, 12),
            large_print=False,
        )
        pages = PdfReader(BytesIO(pdf)).pages
        self.require(" ".join(page.extract_text() for page in pages))

    def test_letters_say_each(self):
        held = SignUp.objects.for_page().get(pk=self.held.pk)
        with self.captureOnCommitCallbacks(execute=True):
            reminder(self.row, [held], key="one", now=NOW, to_hear=[])
        (letter,) = mail.outbox
        self.require(letter.subject + letter.body, NOT_IN_LETTERS)

    def test_a_letter_about_a_run_says_each_of_every_evening(self):
        said = render_to_string(
            "gatherings/mail/_evenings.txt",
            {"evenings": [{"gathering": self.row}], "bring": True},
        )
        # The run's title stands in the letter's first line.
        self.require(said, NOT_IN_LETTERS | {"title"})

    def test_every_form_asks_each(self):
        for view in ("post", "post_run"):
            page = self.page(view, by=self.nora).content.decode()
            for name in WorkForm.Meta.fields:
                with self.subTest(view=view, field=name):
                    assert f'name="{name}"' in page
