from django.test import SimpleTestCase

from heritage.tally import words


class WordsTests(SimpleTestCase):
    def test_a_share_is_said_as_people_do(self):
        """Halves, thirds and quarters as everybody says them; no source."""
        said = {0: "none", 2: "a little", 24: "a quarter", 34: "a third", 52: "half"}
        said |= {66: "two thirds", 81: "four fifths", 97: "nearly all", 100: "all"}
        assert {percent: words.share(percent) for percent in said} == said

    def test_what_is_pulled_is_said_no_closer_than_it_is_known(self):
        assert words.pulled(0, 0) == "All of it still stands"
        assert words.pulled(100, 100) == "All of it is pulled"
        assert words.pulled(49, 52) == "About half is pulled"
        assert words.pulled(56, 69) == "About three fifths is pulled"
        assert words.pulled(50, 80) == ("Between half and four fifths is pulled")
        assert "can't say yet" in words.pulled(5, 90)
