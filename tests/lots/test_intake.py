"""The crop's moves as a file: out, and in again, all of it or nothing."""

from datetime import timedelta
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import TestCase
from django.urls import reverse
from openpyxl import load_workbook

from heritage.common import clock
from heritage.kits.tables.read import read_table
from heritage.lots import services
from heritage.lots.intake.selectors import move_heads, move_rows
from heritage.lots.models import Loss, Move, Place
from heritage.lots.selectors import stock
from heritage.lots.services import Amount
from tests.factories import (
    NOW,
    make_gathering,
    make_organiser,
    make_pulled_lot,
    make_volunteer,
)

HOUR = timedelta(hours=1)
HEADS = "when,lot,from,to,beets,weight kg,water %,what became of it,who did it,note"


@pytest.fixture(autouse=True)
def a_wednesday_evening(monkeypatch):
    monkeypatch.setattr(clock, "now", lambda: NOW)


class Files(TestCase):
    @classmethod
    def setUpTestData(cls):
        cls.nora = make_organiser()
        cls.here = cls.nora.demonstration
        cls.ann = make_volunteer(demonstration=cls.here, name="Ann Rush")
        cls.gathering = make_gathering(
            demonstration=cls.here, starts_at=NOW - 90 * HOUR, ends_at=NOW - 88 * HOUR
        )
        cls.lot = make_pulled_lot(gathering=cls.gathering, beets=40)

    def setUp(self):
        self.client.force_login(self.nora.user)

    def address(self, name):
        return reverse(f"lots:{name}", args=[self.here.slug])

    def choose(self, *lines, heads=HEADS):
        data = "\n".join([heads, *lines]).encode()
        return self.send(data)

    def send(self, data, name="moves.csv"):
        file = SimpleUploadedFile(name, data)
        return self.client.post(self.address("take_in"), {"file": file})

    def take(self, page):
        lines = page.context["form"].initial["lines"]
        return self.client.post(
            self.address("take_in_do"), {"lines": lines}, follow=True
        )

    def why_not(self, *lines, **given):
        page = self.choose(*lines, **given)
        return [line.why_not for line in page.context["verdicts"].refused]


class TakeInTests(Files):
    GOOD = (
        "2026-08-10 09:00,1,in the field,on the cart,15,,,,Ann Rush,Dry",
        "2026-08-10 10:00,Lot 1,cart,store,10,,,,,",
        '11/08/2026 12:00,1,in the store,at the brake,4,"8,8",12,,,',
        "2026-08-11 12:30,1,in the field,lost,1,,,eaten,,",
    )

    def test_each_line_is_looked_at_and_nothing_is_written(self):
        page = self.choose(*self.GOOD)
        assert "4 new, 0 there already, 0 refused" in page.content.decode()
        assert not Move.objects.exists()

    def test_all_lines_are_taken_in_at_one_press(self):
        page = self.take(self.choose(*self.GOOD))
        assert "4 moves taken in." in page.content.decode()
        assert stock(self.here) == {
            Place.STOOK: (24, 0), Place.CART: (5, 0), Place.STORE: (6, 0),
            Place.BRAKE: (0, 7744), Place.LOST: (1, 0),
        }  # fmt: skip
        first = Move.objects.in_order().first()
        assert (first.who, first.note) == (self.ann, "Dry")
        assert first.at.isoformat() == "2026-08-10T08:00:00+00:00"

    def test_the_same_file_twice_adds_nothing(self):
        self.take(self.choose(*self.GOOD))
        page = self.choose(*self.GOOD)
        assert "0 new, 4 there already" in page.content.decode()
        assert "All of it is here already" in page.content.decode()

    def test_lines_in_any_order_are_tried_by_their_moments(self):
        page = self.choose(*reversed(self.GOOD))
        assert page.context["verdicts"].refused == ()

    def test_one_wrong_line_refuses_all_with_its_number_and_reason(self):
        wrong = "2026-08-11 12:45,1,in the field,on the cart,41,,,,,"
        page = self.choose(*self.GOOD, wrong)
        [line] = page.context["verdicts"].refused
        assert line.number == 6
        assert "has 24 beets in the field" in line.why_not
        answer = self.take(page)
        assert "Nothing was added. Row 6:" in answer.content.decode()
        assert not Move.objects.exists()

    def test_what_no_line_can_say_is_refused_with_a_word_for_it(self):
        for line, said in (
            ("soon,1,in the field,on the cart,5,,,,,", "as a time"),
            ("2026-08-10 09:00,9,in the field,on the cart,5,,,,,", "no lot “9”"),
            ("2026-08-10 09:00,x,in the field,on the cart,5,,,,,", "no lot “x”"),
            (
                "2026-08-10 09:00,1,the moon,on the cart,5,,,,,",
                "We don't know the place",
            ),
            ("2026-08-10 09:00,1,in the field,in the dam,5,,,,,", "by hand"),
            ("2026-08-10 09:00,1,in the dam,on the grass,5,,,,,", "by hand"),
            (
                "2026-08-10 09:00,1,in the field,cart,5.5,,,,,",
                "isn't a number of beets",
            ),
            ("2026-08-10 09:00,1,in the field,brake,5,x,,,,", "“x” isn't a number"),
            ("2026-08-10 09:00,1,in the field,brake,5,NaN,,,,", "a number"),
            (
                "2026-08-10 09:00,1,in the field,lost,5,,,stolen,,",
                ". Use a word from the example file",
            ),
            (
                "2026-08-10 09:00,1,in the field,cart,5,,,,Bob,",
                "on the list",
            ),
            ("2026-08-10 09:00,1,in the field,brake,40,2000,,,,", "is usual"),
            ("2026-08-19 09:00,1,in the field,cart,5,,,,,", "in the future"),
            ("2026-08-01 09:00,1,in the field,cart,5,,,,,", "and not before"),
        ):
            [why_not] = self.why_not(line)
            assert said in why_not, why_not

    def test_nothing_is_in_two_places_or_leaves_before_it_came(self):
        to_cart = "2026-08-10 09:00,1,in the field,on the cart,40,,,,,"
        for line, said in (
            ("2026-08-10 10:00,1,in the field,in the store,40,,,,,", "in the field"),
            ("2026-08-10 08:00,1,on the cart,in the store,40,,,,,", "on the cart"),
        ):
            [why_not] = self.why_not(to_cart, line)
            assert f"has 0 beets {said}" in why_not

    def test_a_doubtful_weight_that_was_checked_goes_in(self):
        line = "2026-08-10 09:00,1,in the field,brake,40,2000,,,,,yes"
        self.take(self.choose(line, heads=HEADS + ",weight checked"))
        assert stock(self.here) == {Place.BRAKE: (0, 1_760_000)}

    def test_files_that_are_no_list_of_moves_are_refused(self):
        for data, said in (
            (b"", "empty"),
            (b"\x00\x01\x02" * 50, "read this file"),
            (b"name,age\nAnn,40", "no heading “when”"),
            (HEADS.encode(), "nothing below the headings"),
            (b"a," * 50 + b"a\nb", "Split it"),
        ):
            assert said in self.send(data).content.decode(), data[:20]
        assert self.client.get(self.address("take_in")).status_code == 200

    def test_a_page_that_was_changed_or_is_too_old_is_refused(self):
        answer = self.client.post(
            self.address("take_in_do"), {"lines": "forged"}, follow=True
        )
        assert "Choose the file again" in answer.content.decode()

    def test_only_an_organiser_takes_in_or_away(self):
        self.client.force_login(self.ann.user)
        for name in ("take_in", "moves_csv", "moves_xlsx"):
            assert self.client.get(self.address(name)).status_code == 403


@pytest.mark.any_database
class TakeAwayTests(Files):
    def setUp(self):
        super().setUp()
        given = {"lot": self.lot, "by": self.nora.user, "now": NOW}
        moved = services.move(
            source=Place.STOOK, target=Place.CART, amount=Amount(beets=15),
            at=NOW - 20 * HOUR, who=self.ann, note="=1+1", **given,
        )  # fmt: skip
        services.move(
            source=Place.STOOK, target=Place.BRAKE, amount=Amount(5, 11_000),
            at=NOW - 19 * HOUR, **given,
        )  # fmt: skip
        services.move(
            source=Place.STOOK, target=Place.LOST, amount=Amount(beets=1),
            loss=Loss.EATEN, at=NOW - 18 * HOUR, **given,
        )  # fmt: skip
        services.correct(move=moved, reason="Not carted.", by=self.nora.user, now=NOW)

    def test_every_move_is_a_line_and_no_cell_a_formula(self):
        answer = self.client.get(self.address("moves_csv"))
        lines = read_table(b"".join(answer.streaming_content))
        assert list(lines[0].cells) == move_heads()
        assert len(lines) == 5
        assert "=1+1" in lines[1].cells

    def test_the_workbook_holds_the_same(self):
        answer = self.client.get(self.address("moves_xlsx"))
        sheet = load_workbook(BytesIO(answer.content)).active
        assert sheet.max_row == 5
        assert sheet["L2"].value == "'=1+1"

    def test_what_was_taken_away_is_known_when_it_comes_back(self):
        answer = self.client.get(self.address("moves_csv"))
        page = self.send(b"".join(answer.streaming_content))
        assert "0 new, 4 there already, 0 refused" in page.content.decode()

    def test_a_correction_of_elsewhere_is_not_taken_in(self):
        rows = [row for row in move_rows(self.here) if row[13]]
        assert [row[13] for row in rows] == ["Not carted."]
        rows[0][14] = ""
        line = ",".join(f'"{cell}"' for cell in rows[0])
        [why_not] = self.why_not(line, heads=",".join(move_heads()))
        assert "This undoes a move" in why_not

    def test_more_moves_take_as_many_queries(self):
        with self.assertNumQueries(1):
            list(move_rows(self.here))
