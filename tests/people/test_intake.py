"""A list from a spreadsheet: every line has its verdict, and nothing comes in twice."""

from datetime import date
from io import BytesIO

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import SimpleTestCase, TestCase
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase as PropertyCase
from openpyxl import Workbook, load_workbook

from heritage.kits.tables.read import TableRow, read_table
from heritage.kits.tables.write import csv_table, xlsx_book
from heritage.people.intake import services
from heritage.people.intake.forms import ColumnsForm, FileForm, seal_lines
from heritage.people.intake.selectors import (
    Column,
    find_heads,
    guess_columns,
    intake_plan,
    name_key,
    read_candidate,
    roll,
    roll_heads,
)
from heritage.people.models import AgeBand, Volunteer
from tests.factories import (
    NOW,
    make_demonstration,
    make_organiser,
    make_skill,
    make_volunteer,
)

TODAY = NOW.date()
COLUMNS = ["name", "email", "phone", "age", "guardian", "guardian_email"]


def lines(*rows):
    return [
        TableRow(number, (*row, *[""] * (len(COLUMNS) - len(row))))
        for number, row in enumerate(rows, start=2)
    ]


def read(text, columns=("name", "age", "born"), keeps_dates=True):
    cells = tuple(text.split("|"))
    return read_candidate(
        TableRow(2, cells), columns[: len(cells)], today=TODAY, keeps_dates=keeps_dates
    )


class ColumnTests(SimpleTestCase):
    def test_headings_in_plain_words_are_known(self):
        heads = [
            "Volunteer's name", "E-mail", "Mobile no.", "Age", "D.O.B.", "Notes",
            "Parent / guardian", "Parent\u2019s email", "Emergency contact",
            "Emergency contact phone", "Telephone",
        ]  # fmt: skip
        assert guess_columns(heads) == [
            "name", "email", "phone", "age", "born", "", "guardian", "guardian_email",
            "emergency_name", "emergency_phone", "",
        ]  # fmt: skip

    def test_a_name_in_two_columns(self):
        assert guess_columns(["First name", "Surname", "Date of birth"]) == [
            "first",
            "last",
            "born",
        ]

    def test_our_own_headings_come_back(self):
        assert guess_columns(roll_heads())[:9] == [
            "name", "email", "phone", "age", "born", "guardian", "guardian_email",
            "emergency_name", "emergency_phone",
        ]  # fmt: skip
        assert set(guess_columns(roll_heads())[9:]) == {""}


class HeadsTests(SimpleTestCase):
    """Which line holds the headings: somebody's file begins as they like."""

    def find(self, *rows):
        width = max(map(len, rows))
        return find_heads(
            [
                TableRow(number, (*row, *[""] * (width - len(row))))
                for number, row in enumerate(rows, start=1)
            ]
        )

    def test_the_first_line_where_it_holds_them(self):
        assert self.find(["Name", "Age"], ["Ann", "30"]) == (0, True)
        assert self.find(["Name"], ["Ann"], ["Bob"]) == (0, True)
        assert self.find(["Who", "Shoe"], ["Name", "Mail"]) == (1, True)

    def test_titles_above_are_passed_over(self):
        heads, person = ["Name", "E-mail", "Age"], ["Ann", "ann@example.org", "30"]
        for titles in (
            [["Volunteers of the flax, 2026"]],
            [["Volunteer"]],
            [["Name list"], ["as of 4 May", "", "Mobile numbers inside"]],
            [["Emergency contacts and parents"], ["Kept by Nora"], ["2026-05-04"]],
        ):
            found = self.find(*titles, heads, person, ["Kit", "joe@mail.example"])
            assert found == (len(titles), True)

    def test_a_title_that_is_a_word_for_the_name_yields_to_the_wider_line(self):
        assert self.find(["Volunteer"], ["Name", "Shoe"], ["Ann", "5"]) == (1, True)

    def test_where_none_is_known_somebody_is_asked(self):
        assert self.find(["Flax"], ["Ainm", "Aois"], ["Ann", "30"]) == (1, False)
        assert self.find(["Ann"], ["Bob"]) == (0, False)
        assert self.find(["Mail", "Age"], ["ann@example.org", "3"]) == (0, False)

    def test_far_down_nobody_looks(self):
        far = [["x", "y"]] * 20
        assert self.find(*far, ["Name", "Age"]) == (0, False)


class CandidateTests(SimpleTestCase):
    def test_first_name_and_surname_make_a_name(self):
        said = read("Ann|Rush", ["first", "last"])
        assert (said.name, said.troubles) == ("Ann Rush", [])

    def test_two_writings_of_a_name_are_one(self):
        assert name_key(" Zoe\u0308  RUSH\u200b") == name_key("Zo\u00eb Rush")

    def test_ages_in_words_and_years(self):
        ages = {
            "": AgeBand.ADULT, "Adult": AgeBand.ADULT, "47": AgeBand.ADULT,
            "13 to 15": AgeBand.FROM_13, "14 years old": AgeBand.FROM_13,
            "16 or 17": AgeBand.FROM_16, "12": AgeBand.UNDER_13, "18+": AgeBand.ADULT,
            "Under 13": AgeBand.UNDER_13,
        }  # fmt: skip
        for words, band in ages.items():
            assert read(f"Ann|{words}").age_band == band
        assert not read("Ann|").says_age

    def test_a_birthday_says_the_age_and_may_be_forgotten(self):
        for words in ("2011-08-13", "13/08/2011", "13.8.2011", "2011-08-13 00:00:00"):
            said = read(f"Ann|17|{words}")
            assert said.age_band == AgeBand.FROM_13
            assert said.born_on == date(2011, 8, 13)
        assert read("Ann||2008-08-12").age_band == AgeBand.ADULT
        assert read("Ann||2008-08-12", keeps_dates=False).born_on is None

    def test_troubles_say_how_to_mend_them(self):
        troubles = {
            "|": "There is no name",
            "\u200b|": "There is no name",
            "Ann|soon": "is no age",
            "Ann|130": "is no age",
            "Ann||31/02/2011": "is no date",
            "Ann||spring": "is no date",
            "Ann||2031-01-01": "Nobody here was born",
            "Ann||1850-01-01": "Nobody here was born",
            "x" * 121: "longer than 120",
        }
        for text, words in troubles.items():
            assert words in " ".join(read(text).troubles)
        for address in ("ann at home", "a" * 255 + "@example.org"):
            said = read(f"Ann|{address}", ["name", "email"])
            assert "is no e-mail address" in said.troubles[0]


class PlanTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        here = {"demonstration": cls.place, "user": None}
        cls.ann = make_volunteer(
            name="Ann Rush", email="ann@example.org", phone="028 1", **here
        )
        cls.bob = make_volunteer(name="Bob Orr", **here)
        make_volunteer(name="Cal Low", left_at=NOW, **here)

    def plan(self, *rows):
        return intake_plan(self.place, lines(*rows), COLUMNS, TODAY)

    def verdicts(self, *rows):
        return [row.verdict.value for row in self.plan(*rows).lines]

    def why(self, *rows):
        return " ".join(self.plan(*rows).refused[-1].words)

    def test_new_same_and_filled_in(self):
        plan = self.plan(
            ["Dot Hill", "dot@example.org"],
            ["ann  rush", "ANN@example.org", "0281"],
            ["Bob Orr", "bob@example.org", "7"],
        )
        assert [row.verdict.value for row in plan.lines] == ["new", "same", "fill"]
        assert plan.filled[0].fills == ("email", "phone")
        assert plan.filled[0].fill_words == "e-mail address, telephone"
        assert plan.changes == 2

    def test_what_the_list_has_is_kept(self):
        plan = self.plan(["Ann Rush", "", "99", "14"])
        assert plan.same[0].words == ["The list keeps its own: telephone, age."]

    def test_another_address_is_asked_about(self):
        assert "with another e-mail address: ann@" in self.why(["Ann Rush", "b@b.org"])

    def test_somebody_who_left_is_put_back_by_hand(self):
        assert "left. Put them back" in self.why(["Cal Low"])

    def test_the_merged_and_the_erased_stand_in_nobodys_way(self):
        make_volunteer(
            demonstration=self.place, name="Eve", left_at=NOW, merged_into=self.ann
        )
        make_volunteer(demonstration=self.place, name="Fay", left_at=NOW, erased_at=NOW)
        assert self.verdicts(["Eve"], ["Fay"]) == ["new", "new"]

    def test_several_of_one_name_are_told_apart_by_address(self):
        twin = make_volunteer(
            demonstration=self.place,
            user=None,
            name="Ann Rush",
            email="two@example.org",
        )
        plan = self.plan(["Ann Rush", "two@example.org", "5"])
        assert plan.filled[0].person == twin
        assert self.verdicts(["Ann Rush"]) == ["same"]
        assert "Several on the list" in self.why(["Ann Rush", "", "5", ""])
        assert "another e-mail" in self.why(["Ann Rush", "three@example.org"])

    def test_a_family_shares_an_address(self):
        assert self.verdicts(["Alf Rush", "ann@example.org"]) == ["new"]

    def test_a_name_twice_in_the_file(self):
        rows = [["Dot Hill", "d@example.org"], ["Dot Hill"]]
        assert "Line 2 says the same name" in self.why(*rows)
        rows = [["Bob Orr", "b@example.org"], ["Bob Orr", "", "7"]]
        assert "Line 2 says the same name" in self.why(*rows)
        rows = [["Dot Hill", "d@example.org"], ["Dot Hill", "e@example.org"]]
        assert self.verdicts(*rows) == ["new", "new"]
        assert self.verdicts(["Bob Orr"], ["Bob Orr"]) == ["same", "same"]

    def test_a_childs_guardian_is_found_on_the_list_and_in_the_file(self):
        plan = self.plan(
            ["Kit", "", "", "12", "Ann Rush"],
            ["Meg", "", "", "14", "", "DOT@example.org"],
            ["Dot Hill", "dot@example.org"],
            ["Pat", "", "", "16", "Bob Orr", "bob@example.org"],
            ["Bob Orr", "bob@example.org"],
        )
        assert not plan.refused
        assert [row.guardian_name for row in plan.lines] == [
            "Ann Rush", "Dot Hill", "", "Bob Orr", ""
        ]  # fmt: skip

    def test_a_child_needs_one_adult(self):
        assert "needs a guardian" in self.why(["Kit", "", "", "12"])
        assert "No adult" in self.why(["Kit", "", "", "12", "Nobody"])
        assert "No adult" in self.why(
            ["Kit", "", "", "12", "Bob Orr", "ann@example.org"]
        )
        make_volunteer(demonstration=self.place, name="Ann Rush", email="")
        assert "Several adults" in self.why(["Kit", "", "", "12", "Ann Rush"])
        rows = [["Kit", "", "", "12", "Meg"], ["Meg", "", "", "15", "Bob Orr"]]
        assert "No adult" in self.why(*rows)

    def test_a_guardian_without_an_age_is_asked_about(self):
        assert "no age" in self.why(["Kit", "", "", "", "Ann Rush"])
        plan = self.plan(["Kit", "", "", "adult", "Ann Rush"])
        assert plan.new[0].words == ["18 or over: no guardian is kept."]

    def test_one_query_at_two_sizes(self):
        for count in (3, 300):
            rows = lines(*([f"Person {n}", f"p{n}@example.org"] for n in range(count)))
            with self.assertNumQueries(1):
                assert len(intake_plan(self.place, rows, COLUMNS, TODAY).new) == count


class TakeInTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration(asks_birth_date=True)
        cls.bob = make_volunteer(demonstration=cls.place, user=None, name="Bob Orr")

    def take_in(self, *rows, columns=COLUMNS):
        return services.take_in(
            demonstration=self.place, lines=lines(*rows), columns=columns, now=NOW
        )

    def test_everybody_is_entered_once_with_guardians(self):
        rows = [
            ["Kit", "", "", "12", "Dot Hill"],
            ["Dot Hill", "dot@example.org", "=7"],
            ["Bob Orr", "bob@example.org"],
        ]
        plan = self.take_in(*rows)
        assert (len(plan.new), len(plan.filled)) == (2, 1)
        kit = self.place.volunteers.get(name="Kit")
        assert (kit.guardian.name, kit.age_band) == ("Dot Hill", AgeBand.UNDER_13)
        assert kit.guardian.phone == "=7"
        assert kit.joined_at == NOW
        self.bob.refresh_from_db()
        assert self.bob.email == "bob@example.org"
        again = self.take_in(*rows)
        assert (again.changes, len(again.same)) == (0, 3)
        assert self.place.volunteers.count() == 3

    def test_whom_to_call_needs_a_number(self):
        columns = ["name", "emergency_name", "emergency_phone", "", "", ""]
        for phone in ("", "none"):
            with pytest.raises(ValidationError, match="number in digits"):
                self.take_in(["Dot", "Sam", phone], columns=columns)
            plan = self.take_in(["Bob Orr", "Sam", phone], columns=columns)
            assert len(plan.same) == 1
        plan = self.take_in(["Bob Orr", "Sam", "9"], columns=columns)
        assert plan.filled[0].fills == ("emergency_name", "emergency_phone")

    def test_all_or_nothing(self):
        with pytest.raises(ValidationError, match=r"Nothing was added"):
            self.take_in(["Dot Hill"], ["Eve", "", "", "soon"])
        assert self.place.volunteers.count() == 1

    def test_dates_of_birth_and_emergency_contacts(self):
        columns = ["name", "born", "emergency_name", "emergency_phone", "", ""]
        self.take_in(["Dot", "1990-02-03", "Sam", "9"], columns=columns)
        dot = self.place.volunteers.get(name="Dot")
        assert (dot.born_on, dot.emergency_name) == (date(1990, 2, 3), "Sam")

    def test_the_lists_query_count_does_not_grow_with_the_file(self):
        counts = []
        # SQLite takes some fifty lines at a time.
        for start, count in ((0, 5), (1000, 50)):
            rows = [[f"P {n}", ""] for n in range(start, start + count)]
            with self.assertNumQueries(5):
                self.take_in(*rows)
            counts.append(self.place.volunteers.count())
        assert counts == [6, 56]


NAMES = st.text(
    st.sampled_from("=+-@'\",;\t |\u00e9\uff1dAb\u2019\u0661\U0001f33e")
    | st.characters(exclude_characters="\x00", exclude_categories=["Cs"]),
    min_size=1,
    max_size=15,
).filter(name_key)


@pytest.mark.any_database
class RoundTripTests(PropertyCase):
    @settings(max_examples=30)
    @given(st.lists(st.tuples(NAMES, st.booleans(), NAMES), max_size=6), st.booleans())
    def test_an_export_taken_in_again_changes_nothing(self, people, as_book):
        place = make_demonstration()
        Volunteer.objects.bulk_create(
            Volunteer(
                demonstration=place,
                name=name,
                phone=phone,
                email=f"{number}@example.org" if has_email else "",
                joined_at=NOW,
            )
            for number, (name, has_email, phone) in enumerate(people)
        )
        rows = list(roll(place))
        data = (
            xlsx_book([("People", roll_heads(), rows)])
            if as_book
            else "".join(csv_table(roll_heads(), rows)).encode()
        )
        heads, *said = read_table(data)
        plan = intake_plan(place, said, guess_columns(heads.cells), TODAY)
        assert [row.words for row in plan.refused] == []
        assert plan.changes == 0
        assert len(plan.same) == len(people)


class ListFileTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")
        cls.ann = make_volunteer(demonstration=cls.place, name="=Ann", phone="+44 7")
        make_volunteer(
            demonstration=cls.place, user=None, name="Kit", age_band=AgeBand.FROM_13,
            guardian=cls.ann,
        )  # fmt: skip
        make_volunteer(demonstration=cls.place, name="Gone", left_at=NOW)

    def url(self, view):
        return reverse(f"people:{view}", args=[self.place.slug])

    def test_everything_on_the_list_goes_into_the_file(self):
        skill = make_skill(volunteer=self.ann)
        make_skill(volunteer=self.ann, confirmed_by=None)
        self.client.force_login(self.nora.user)
        answer = self.client.get(self.url("list_xlsx"))
        book = load_workbook(BytesIO(answer.content))
        rows = [list(row) for row in book.active.values]
        assert rows[1][:3] == ["'=Ann", self.ann.email, "'+44 7"]
        assert rows[1][9] == skill.competence.title
        assert rows[2][3:7] == ["13 to 15", None, "'=Ann", self.ann.email]
        assert [row[10] for row in rows[1:]] == ["no", "no", "yes"]
        assert len(rows) == 4
        answer = self.client.get(self.url("list_csv"))
        text = b"".join(answer.streaming_content).decode()
        assert text.startswith("\ufeffName,")
        assert "'=Ann" in text
        assert "no-store" in answer["Cache-Control"]

    def test_the_file_costs_two_queries_at_two_sizes(self):
        for _ in range(2):
            with self.assertNumQueries(2):
                assert list(roll(self.place))
            for number in range(8):
                make_skill(
                    volunteer=make_volunteer(
                        demonstration=self.place, name=f"P {number}", guardian=self.ann
                    )
                )


@pytest.mark.any_database
class TakeInPageTests(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.place = make_demonstration()
        cls.nora = make_organiser(demonstration=cls.place, name="Nora Bell")

    def setUp(self):
        self.client.force_login(self.nora.user)

    def url(self, view):
        return reverse(f"people:{view}", args=[self.place.slug])

    def send(self, text, name="list.csv"):
        file = SimpleUploadedFile(name, text.encode())
        return self.client.post(self.url("take_in"), {"file": file})

    def carried(self, response, **changes):
        form = response.context["form"]
        said = {name: form[name].value() or "" for name in form.fields}
        return said | changes

    def test_from_the_file_to_the_list(self):
        self.assertContains(self.client.get(self.url("take_in")), "Look at the file")
        page = self.send("Who;Mail;Shoe\nDot Hill;dot@example.org;5\nNora Bell;;\n")
        self.assertContains(page, "Such as: Dot Hill; Nora Bell")
        page = self.client.post(self.url("take_in_check"), self.carried(page))
        self.assertContains(page, "New on the list")
        assert self.place.volunteers.count() == 1
        said = self.carried(page)
        for _ in range(2):
            answer = self.client.post(self.url("take_in_do"), said)
            self.assertRedirects(answer, self.url("list"))
        assert self.place.volunteers.filter(email="dot@example.org").count() == 1

    def send_book(self, *rows, merged=""):
        book = Workbook()
        for row in rows:
            book.active.append(row)
        if merged:
            book.active.merge_cells(merged)
        made = BytesIO()
        book.save(made)
        file = SimpleUploadedFile("list.xlsx", made.getvalue())
        return self.client.post(self.url("take_in"), {"file": file})

    def check(self, page, **changes):
        said = self.carried(page, **changes)
        return self.client.post(self.url("take_in_check"), said)

    def test_a_title_above_the_headings_is_no_heading_and_nobody(self):
        for page in (
            self.send_book(
                ["Flax people 2026"],
                [],
                ["Name", "E-mail", "Age"],
                ["Dot Hill", "dot@example.org", 40],
                merged="A1:C1",
            ),
            self.send(
                "Flax people 2026,,\n,,\nName,E-mail,Age\nDot Hill,dot@example.org,40\n"
            ),
        ):
            assert page.context["form"]["column_1"].label == "E-mail"
            self.assertContains(page, "Lines above it are left out")
            page = self.check(page)
            self.assertContains(page, "Row 1 is above the headings")
            self.assertContains(page, "Flax people 2026")
            (row,) = page.context["plan"].lines
            assert (row.line.number, row.line.name) == (4, "Dot Hill")
            assert row.line.email == "dot@example.org"
        self.client.post(self.url("take_in_do"), self.carried(page))
        assert self.place.volunteers.filter(name="Dot Hill").count() == 1
        assert self.place.volunteers.count() == 2

    def test_headings_that_are_not_known_are_asked_for(self):
        page = self.send("Muintir\nAinm,Aois\nDot Hill,40\n")
        self.assertContains(page, "No line looks like headings")
        assert page.context["form"]["heads"].value() == "1"
        page = self.check(page, column_0="name", column_1="age")
        assert [row.line.name for row in page.context["plan"].lines] == ["Dot Hill"]

    def test_other_headings_are_chosen_and_the_columns_asked_anew(self):
        page = self.send("Name,Mail\nName,Age\nDot Hill,40\n")
        assert page.context["form"]["column_1"].label == "Mail"
        page = self.check(page, heads="1")
        assert page.templates[0].name == "people/intake_columns.html"
        assert page.context["form"]["column_1"].label == "Age"
        assert page.context["form"]["column_1"].value() == "age"
        said = self.carried(page, heads="0")
        self.assertContains(
            self.client.post(self.url("take_in_do"), said), "What is in the columns?"
        )
        assert self.place.volunteers.count() == 1
        page = self.check(page)
        assert [row.line.name for row in page.context["plan"].lines] == ["Dot Hill"]

    def test_without_headings_the_first_line_is_a_person(self):
        page = self.send("Dot Hill,40\nKit Moss,30\n")
        page = self.check(page, heads="-1")
        assert page.context["form"]["column_0"].label == "Column 1, without a heading"
        self.assertContains(page, "Such as: Dot Hill; Kit Moss")
        page = self.check(page, column_0="name", column_1="age")
        names = [row.line.name for row in page.context["plan"].lines]
        assert names == ["Dot Hill", "Kit Moss"]
        self.client.post(self.url("take_in_do"), self.carried(page))
        assert self.place.volunteers.count() == 3

    def test_a_line_that_is_none_is_not_chosen(self):
        page = self.send("Name\nDot Hill\n")
        for heads in ("7", "x", "-2"):
            answer = self.check(page, heads=heads, heads_shown=heads)
            assert "heads" in answer.context["form"].errors

    def test_formulas_that_came_without_their_values_are_refused_and_say_so(self):
        page = self.send_book(
            ["Name", "E-mail", "Shoe"],
            ["Dot Hill", "dot@example.org", "=1+4"],
            ["=Sheet2!A1", "=Sheet2!B1", "=Sheet2!C1"],
            ["Kit Moss", '=A4&"@example.org"', 5],
        )
        page = self.check(page)
        self.assertContains(page, "We add the whole list or none of it")
        plan = page.context["plan"]
        assert [row.line.number for row in plan.new] == [2]
        told = {row.line.number: " ".join(row.words) for row in plan.refused}
        assert set(told) == {3, 4}
        assert "does not hold: name, e-mail address. Open it in your" in told[3]
        assert "There is no name" not in told[3]
        assert "does not hold: e-mail address." in told[4]
        answer = self.client.post(self.url("take_in_do"), self.carried(page))
        self.assertContains(answer, "Nothing was added. Row 3")
        assert self.place.volunteers.count() == 1

    def test_a_line_of_formulas_under_columns_left_out_has_its_verdict_too(self):
        page = self.check(
            self.send_book(["Name", "Shoe"], ["Dot Hill", 5], [None, "=B9"])
        )
        (row,) = page.context["plan"].refused
        assert row.line.number == 3
        assert "There is no name" in row.words[0]

    def test_a_bad_file_says_how_to_mend_it(self):
        for text, words in {
            "": "This file is empty",
            "Name\n": "only one row",
            "Flax people\nName,Age\n": "nobody below the headings in row 2",
            "Name\n" + "Ann\n" * 2001: "more than 2000 rows",
        }.items():
            page = self.send(text)
            self.assertContains(page, words)
            assert "file" in page.context["form"].errors

    def test_columns_are_put_right(self):
        page = self.send("Who,Pupil\nDot,Kit\n")
        said = self.carried(page, column_1="name")
        page = self.client.post(self.url("take_in_check"), said)
        assert set(page.context["form"].errors) == {"column_0", "column_1"}
        self.assertContains(page, "You chose two columns for the name")
        said = self.carried(page, column_0="-", column_1="-")
        page = self.client.post(self.url("take_in_check"), said)
        self.assertContains(page, "Choose the column with the name")
        assert page.context["form"]["lines"].value()

    def test_a_refused_line_stops_everything(self):
        page = self.send("Name,Age\nDot,30\nKit,12\n")
        page = self.client.post(self.url("take_in_check"), self.carried(page))
        self.assertContains(page, "We add the whole list or none of it")
        self.assertNotContains(page, "Add them</button>")
        answer = self.client.post(self.url("take_in_do"), self.carried(page))
        self.assertContains(answer, "Nothing was added. Row 3")
        assert self.place.volunteers.count() == 1

    def test_nothing_to_do_is_said(self):
        page = self.send("Name\nNora Bell\n")
        page = self.client.post(self.url("take_in_check"), self.carried(page))
        self.assertContains(page, "There is nothing to do")

    def test_what_the_page_carries_is_for_this_list_and_this_hour(self):
        table = [TableRow(1, ("Name",)), TableRow(2, ("Dot",))]
        other = seal_lines(make_demonstration(), table)
        for sealed in ("", "Dot", other):
            for view in ("take_in_check", "take_in_do"):
                page = self.client.post(
                    self.url(view), {"lines": sealed, "column_0": "name"}
                )
                self.assertContains(page, "Choose the file again")
        assert self.place.volunteers.count() == 1

    def test_two_thousand_people_stay_under_the_posts_limit(self):
        rows = "".join(
            f"Person Number {n},person{n}@example.org,028 9{n:06}\n"
            for n in range(2000)
        )
        page = self.send(f"Name,E-mail,Telephone\n{rows}")
        said = self.carried(page)
        with self.assertNumQueries(5):
            page = self.client.post(self.url("take_in_check"), said)
        assert len(page.context["plan"].new) == 2000

    def test_the_page_costs_the_same_for_a_short_file(self):
        said = self.carried(self.send("Name\nDot\n"))
        with self.assertNumQueries(5):
            self.client.post(self.url("take_in_check"), said)

    def test_forms_alone(self):
        assert FileForm({}, {}).errors
        form = ColumnsForm(
            {"lines": ""}, demonstration=self.place, lines=[TableRow(1, ("",))]
        )
        assert form.fields["column_0"].label == "Column 1, without a heading"
        assert Column.NAME.label == "name"
