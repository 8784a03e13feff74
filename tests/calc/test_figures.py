"""Every figure has its rule, its sources and its words, in one place each."""

import inspect
import re
import sys
from datetime import date

import pytest
from django.template import Context, Template, TemplateSyntaxError
from django.utils import translation

from heritage.calc._band import Band
from heritage.calc.figures import RULES, Figure, Source, Sure, Unit, opened
from heritage.season.opening.words import INPUTS, SOURCES, SURE, UNITS, WORDS

# What a name says beside its year or number: all of it stands in the module too.
PRINTED = re.compile(r"\b(?:1[5-9]\d\d|20\d\d|\d{3,})\b|\b[A-Z]{3,}\b|^[A-Z]\w+")
LEADS_TO = re.compile(r"from (?:heritage\.calc)?\.(\w+) import|``(pulling)\.\w")
OURS = {Source.OWN, Source.CUSTOM}


def beside(figure):
    """Return all that is written where a figure is made, and where that leads."""
    ahead = {made.__module__ for made in RULES[figure].made_by}
    text = ""
    for _ in range(3):
        more = "\n".join(inspect.getsource(sys.modules[name]) for name in ahead)
        text += more
        ahead = {
            f"heritage.calc.{name}" for name in map("".join, LEADS_TO.findall(more))
        }
    return text


def test_each_figure_has_a_rule_and_each_code_its_words():
    assert set(RULES) == set(Figure) == set(WORDS)
    assert {one for rule in RULES.values() for one in rule.sources} == set(Source)
    assert {one for rule in RULES.values() for one in rule.takes} == set(INPUTS)
    assert set(SOURCES) == set(Source)
    assert set(SURE) == set(Sure)
    assert set(UNITS) == set(Unit) - {Unit.AS_IT_IS, Unit.COUNT}


@pytest.mark.parametrize("figure", Figure)
def test_a_source_on_the_page_stands_beside_the_calculation(figure):
    """Each year, name in capitals and first name of a source is in that module."""
    text = beside(figure)
    with translation.override("en-gb"):
        named = {str(SOURCES[one]) for one in RULES[figure].sources if one not in OURS}
    missing = [
        f"{source}: {part}"
        for source in named
        for part in PRINTED.findall(source)
        if part not in text
    ]
    assert missing == []


def test_an_opening_takes_what_its_rule_takes_and_nothing_else():
    opening = opened("stand", {"area": 5000, "beets": None})
    assert [one.name for one in opening.inputs] == ["area"]
    assert opening.sure is Sure.JUDGED
    assert opened(Figure.STAND, {}, counted=True).sure is Sure.COUNTED
    with pytest.raises(ValueError, match="takes no rain"):
        opened("stand", {"rain": 1})


def shown(template, **context):
    return Template("{% load figures %}" + template).render(Context(context))


def test_a_figure_opens_with_its_inputs_its_rule_its_source_and_its_certainty():
    html = shown(
        '{% opens "harvest" left=left evenings=6 %}<p>{{ own }}</p>{% endopens %}',
        left=Band(900, 1200.4, 1500),
        own="<by us>",
    )
    assert '<details class="opening" data-figure="harvest">' in html
    assert "<p>&lt;by us&gt;</p>" in html
    assert "<dd>1,200 (900 to 1,500) beets</dd>" in html
    assert "Gabriel and Neumann (1962)" in html
    assert "our own judgement" in html


def test_a_day_and_a_share_are_written_as_people_say_them():
    html = shown('{% opens "light" day=day latitude=54.25 %}{% endopens %}', day=DAY)
    assert "Wed 12 Aug" in html
    assert "54.2°" in html


def test_a_figure_that_is_none_is_refused():
    with pytest.raises((ValueError, TemplateSyntaxError)):
        shown('{% opens "weather" %}{% endopens %}')


DAY = date(2026, 8, 12)
