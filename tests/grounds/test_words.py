"""What should be looked at again about the ways out, in sentences."""

from heritage.calc.risk import SiteWarning, site_capacity
from heritage.common.words import in_words
from heritage.grounds.selectors import WARNINGS


def test_a_site_with_one_narrow_exit_is_warned_of_both():
    site = site_capacity(1000, [1.2])
    assert [in_words(warning, WARNINGS) for warning in site.warnings] == [
        "There should be two exits or more, well apart.",
        "An exit is narrower than 1.5 m.",
    ]
    assert set(WARNINGS) == set(SiteWarning)
