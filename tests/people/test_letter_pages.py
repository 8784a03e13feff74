"""The letter book's pages, and where else a letter gone astray is shown."""

from datetime import timedelta

from django.core import mail
from django.urls import reverse

from heritage.desk.today.selectors import today
from heritage.people.letters import selectors
from heritage.people.models import LetterState
from tests.factories import (
    NOW,
    make_gathering,
    make_letter,
    make_organiser,
    make_volunteer,
)
from tests.people.test_letter_trouble import TROUBLED, TroubleCase


class PageCase(TroubleCase):
    def setUp(self):
        super().setUp()
        self.client.force_login(self.nora.user)

    def url(self, name, *args):
        return reverse(f"people:{name}", args=[self.demonstration.slug, *args])

    def book(self, **data):
        return self.client.get(self.url("letters"), data)

    def press(self, name, letter, **data):
        return self.client.post(self.url(name, letter.pk), data, follow=True)


class BookTests(PageCase):
    def test_an_empty_book_says_what_will_stand_in_it(self):
        self.assertContains(self.book(), "No e-mails yet")
        self.assertContains(
            self.book(show="trouble"), "Nothing to check: every e-mail has gone"
        )

    def test_all_or_those_to_look_at(self):
        self.letter(subject="It went", state=LetterState.SENT)
        self.letter(subject="It did not", trouble="550 No such mailbox")
        everything, trouble = self.book(), self.book(show="trouble")
        for words in ("It went", "It did not", "Not delivered (1)"):
            self.assertContains(everything, words)
        self.assertNotContains(trouble, "It went")
        self.assertContains(trouble, "550 No such mailbox")
        assert "no-store" in trouble["Cache-Control"]

    def test_whoever_has_no_address_stands_with_their_telephone(self):
        paper = make_volunteer(
            demonstration=self.demonstration, user=None, email="", phone="028 555 0199"
        )
        self.letter(volunteer=paper, address="", state=LetterState.NO_ADDRESS)
        page = self.book(show="trouble")
        self.assertContains(page, '<a href="tel:0285550199">028\xa0555\xa00199</a>')
        self.assertContains(page, "no e-mail: tell them yourself")

    def test_what_is_half_way_for_long_is_not_known_to_have_gone(self):
        self.letter(state=LetterState.SENDING, try_at=NOW - timedelta(minutes=9))
        self.assertNotContains(self.book(), "not known to have gone")
        self.letter(state=LetterState.SENDING, try_at=NOW - timedelta(minutes=10))
        self.assertContains(self.book(), "not known to have gone")

    def test_many_letters_stand_on_pages(self):
        for number in range(52):
            self.letter(subject=f"Letter {number}.")
        self.assertContains(self.book(), "Page 1 of 4")
        self.assertContains(self.book(page="4"), "Letter 1.")

    def test_the_book_costs_the_same_however_long_it_is(self):
        for more in (1, 12):
            for _ in range(more):
                child = make_volunteer(
                    demonstration=self.demonstration,
                    user=None,
                    age_band="from_13",
                    guardian=self.ann,
                )
                self.letter(volunteer=child)
            for only_trouble in (True, False):
                with self.assertNumQueries(4):
                    page = selectors.letters_page(
                        self.demonstration, NOW, only_trouble=only_trouble, number=""
                    )
                    assert [(one.goes_to, one.telephone) for one in page.lines]

    def test_another_places_letters_are_not_there(self):
        other = make_letter(subject="Elsewhere")
        self.assertNotContains(self.book(), "Elsewhere")
        for name in ("letter", "send_letter_again", "letter_told"):
            method = self.client.get if name == "letter" else self.client.post
            assert method(self.url(name, other.pk)).status_code == 404

    def test_a_volunteer_does_not_read_it(self):
        letter = self.letter()
        self.client.force_login(self.ann.user)
        assert self.book().status_code in (403, 404)
        assert self.press("send_letter_again", letter).status_code in (403, 404)
        assert mail.outbox == []


class LetterTests(PageCase):
    def page(self, letter):
        return self.client.get(self.url("letter", letter.pk))

    def test_it_shows_the_words_the_state_and_what_went_wrong(self):
        letter = self.letter(
            text="Come <soon>:\nhttps://flax.example.org/",
            trouble="550 No such mailbox",
            volunteer=self.ann,
        )
        page = self.page(letter)
        for words in (
            "Come &lt;soon&gt;:",
            'href="https://flax.example.org/"',
            "What went wrong: 550 No such mailbox",
            "Send it again",
            f"It would go to {self.ann.email}",
            "<dt>Attempts</dt><dd>6</dd>",
        ):
            self.assertContains(page, words)

    def test_every_state_has_a_page(self):
        for state in LetterState:
            letter = self.letter(state=state, try_at=NOW - timedelta(hours=1))
            page = self.page(letter)
            again = page.content.count(b"Send it again")
            assert again == (state in [*TROUBLED, LetterState.SENDING]), state

    def test_a_letter_that_waits_says_when_it_is_tried(self):
        letter = self.letter(state=LetterState.QUEUED, attempts=1)
        self.assertContains(self.page(letter), "<dt>Tried again</dt>")

    def test_without_any_way_it_says_so(self):
        letter = self.letter(address="", state=LetterState.NO_ADDRESS)
        self.assertContains(
            self.page(letter),
            "Tell them yourself when you see them: we have no e-mail or phone number",
        )

    def test_sent_again_it_goes_and_says_so(self):
        letter = self.letter()
        with self.captureOnCommitCallbacks(execute=True):
            page = self.press("send_letter_again", letter)
        self.assertContains(page, "It is on its way again.")
        assert [one.to for one in mail.outbox] == [[letter.address]]

    def test_pressed_again_it_says_why_not(self):
        letter = self.letter(state=LetterState.SENT)
        page = self.press("send_letter_again", letter)
        self.assertContains(page, "This e-mail has gone, or is on its way")

    def test_they_know_and_back_to_the_list(self):
        letter = self.letter()
        back = self.url("letters") + "?show=trouble"
        page = self.press("letter_told", letter, next=back)
        assert page.redirect_chain == [(back, 302)]
        self.assertContains(page, "been told")
        assert self.state(letter) == LetterState.TOLD

    def test_only_a_button_does_it(self):
        letter = self.letter()
        for name in ("send_letter_again", "letter_told"):
            assert self.client.get(self.url(name, letter.pk)).status_code == 405


class ElsewhereTests(PageCase):
    def test_the_list_of_people_says_whose_letters_come_back(self):
        self.letter(volunteer=self.ann, state=LetterState.BOUNCED)
        self.letter(volunteer=self.nora, state=LetterState.SENT)
        page = self.client.get(self.url("list"))
        self.assertContains(page, "e-mails come back", count=1)
        self.assertContains(page, self.url("letters") + "?show=trouble")

    def test_long_ago_is_forgotten(self):
        long_ago = NOW - timedelta(days=30)
        self.letter(volunteer=self.ann, state=LetterState.BOUNCED, queued_at=long_ago)
        assert selectors.unreached(self.demonstration, NOW) == frozenset()
        assert selectors.to_look_at(self.demonstration, NOW) == (
            frozenset(),
            frozenset(),
            0,
        )

    def test_today_has_one_line_for_all_of_them(self):
        def lines():
            todos = today(self.demonstration, self.nora.user, NOW).todos
            return [todo for todo in todos if todo.words.startswith("Phone")]

        assert lines() == []
        self.letter(state=LetterState.BOUNCED)
        self.letter(address="", state=LetterState.NO_ADDRESS)
        (line,) = lines()
        assert line.words == "Phone 2 people"
        assert line.why == (
            "An e-mail to 1 person didn't arrive. 1 person has no e-mail."
        )
        assert line.url.endswith("?show=trouble")

    def test_today_asks_after_those_not_known_to_have_gone(self):
        def lines():
            todos = today(self.demonstration, self.nora.user, NOW).todos
            return {todo.words: todo for todo in todos if "arrived" in todo.words}

        self.letter(state=LetterState.SENDING, try_at=NOW - timedelta(minutes=9))
        assert lines() == {}
        self.letter(state=LetterState.SENDING, try_at=NOW - timedelta(minutes=10))
        line = lines().pop("Ask if 1 e-mail arrived")
        assert "Sending broke off halfway" in line.why
        assert line.is_due
        assert line.url.endswith("?show=trouble")
        # Nobody is told of it that it did not arrive.
        assert not [words for words in lines() if words.startswith("Phone")]
        self.letter(state=LetterState.SENDING, try_at=NOW - timedelta(days=2))
        assert "Ask if 2 e-mails arrived" in lines()

    def test_the_lead_sees_it_on_the_gatherings_page(self):
        lead = make_volunteer(demonstration=self.demonstration)
        evening = make_gathering(demonstration=self.demonstration, lead=lead)
        self.letter(
            volunteer=self.ann,
            about=f"gathering {evening.pk}",
            subject="Called off: Pulling",
            state=LetterState.BOUNCED,
        )
        for reader, shown in ((lead, True), (self.ann, False)):
            self.client.force_login(reader.user)
            page = self.client.get(evening.get_absolute_url())
            assert (b"Called off: Pulling" in page.content) is shown
        self.client.force_login(make_organiser().user)
        page = self.client.get(evening.get_absolute_url())
        assert b"Called off: Pulling" not in page.content

    def test_the_lead_says_of_their_own_gatherings_letters_who_knows(self):
        lead = make_volunteer(demonstration=self.demonstration)
        evening = make_gathering(demonstration=self.demonstration, lead=lead)
        other = make_gathering(demonstration=self.demonstration)
        lost = self.letter(
            volunteer=self.ann,
            about=f"gathering {evening.pk}",
            subject="Called off: Pulling",
            state=LetterState.BOUNCED,
        )
        elsewhere = self.letter(
            about=f"gathering {other.pk}", state=LetterState.BOUNCED
        )

        def told(by, row, letter):
            self.client.force_login(by.user)
            slug = self.demonstration.slug
            address = reverse("gatherings:told", args=[slug, row.pk, letter.pk])
            return self.client.post(address, follow=True)

        assert told(self.ann, evening, lost).status_code == 404
        assert told(lead, other, elsewhere).status_code == 404
        self.assertContains(
            told(lead, evening, elsewhere), "This e-mail is about another gathering"
        )
        self.client.force_login(lead.user)
        page = self.client.get(evening.get_absolute_url())
        self.assertContains(page, "They know")
        page = told(lead, evening, lost)
        self.assertContains(page, "Saved: they know.")
        self.assertNotContains(page, "Called off: Pulling")
        for letter, state in ((lost, "told"), (elsewhere, "bounced")):
            letter.refresh_from_db()
            assert letter.state == state
