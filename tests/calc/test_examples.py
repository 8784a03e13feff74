"""The examples in the docstrings come out as they say."""

import doctest

import pytest

from heritage.calc import measures, money


@pytest.mark.parametrize("module", [measures, money])
def test_examples(module):
    found = doctest.testmod(module)
    assert found.attempted > 0
    assert found.failed == 0
