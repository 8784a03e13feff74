"""No subject reaches the rows of one above it by the name of a relation.

The import contract cannot see `sign_ups__gathering__ends_at` in people, although it
makes people know gatherings. Here every lookup in the code is read and compared with
the names that models of higher subjects give to their relations from below.
"""

import ast
import tomllib
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest
from django.apps import apps

from heritage.common.questions import Question

HERE = Path(__file__).parent.parent
CONTRACTS = tomllib.loads((HERE / "pyproject.toml").read_text("utf-8"))["tool"]
LAYERS = CONTRACTS["importlinter"]["contracts"][0]["layers"]
HEIGHT = {
    subject.strip(): height
    for height, layer in enumerate(reversed(LAYERS))
    for subject in layer.split("|")
}
SUBJECTS = sorted(path.parent.name for path in HERE.glob("heritage/*/models.py"))
# What takes the name of a field or of a relation as a string or as a keyword.
FILTERING = {"filter", "exclude", "get", "get_or_create", "update_or_create", "Q"}
TAKING = FILTERING | {
    "annotate", "alias", "aggregate", "dates", "datetimes", "defer", "distinct",
    "earliest", "in_bulk", "latest", "only", "order_by", "prefetch_related",
    "prefetch_related_objects", "select_related", "values", "values_list",
    "Avg", "Count", "Exists", "F", "FilteredRelation", "Lower", "Max", "Min",
    "OuterRef", "Prefetch", "Subquery", "Sum",
}  # fmt: skip


def subject_of(model):
    return model.__module__.split(".")[1]


@cache
def names(subject):
    """Tell the names of models up to a subject from those given to them from above."""
    own = [
        model
        for model in apps.get_models()
        if HEIGHT.get(subject_of(model), HEIGHT["urls"]) <= HEIGHT[subject]
    ]
    fields = [field for model in own for field in model._meta.get_fields()]
    given = [
        field
        for field in fields
        if field.auto_created
        and field.is_relation
        and HEIGHT.get(subject_of(field.related_model), 0) > HEIGHT[subject]
    ]
    own_fields = [field for field in fields if field not in given]
    return all_names(own_fields), all_names(given)


def all_names(fields):
    accessors = [
        field.get_accessor_name()
        for field in fields
        if hasattr(field, "get_accessor_name")
    ]
    return {*accessors, *(field.name for field in fields)}


def name_of(function):
    return getattr(function, "attr", getattr(function, "id", ""))


def lookups_in(tree):
    """Each name of a field or relation in some code, with the number of its line."""
    declared = {
        name_of(node.target)
        for node in ast.walk(tree)
        if isinstance(node, ast.AnnAssign)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and "__" in str(node.value):
            yield str(node.value), node.lineno
        if not isinstance(node, ast.Call):
            continue
        called = name_of(node.func)
        over = getattr(node.func, "value", None)
        if isinstance(over, ast.Attribute) and over.attr not in declared:
            yield over.attr, node.lineno
        if called in TAKING:
            words = [one for one in node.args if isinstance(one, ast.Constant)]
            yield from ((str(one.value), one.lineno) for one in words)
        for word in node.keywords:
            if called in FILTERING or "__" in (word.arg or ""):
                yield word.arg or "", node.lineno


def reaches_up(subject, code):
    """Return the lookups in some code that lead to a subject above.

    Where a name is also one of the subject's own, or of one below, it is taken to be
    that, if nothing else in the lookup leads up.
    """
    own, above = names(subject)
    return [
        f"{name} (line {line})"
        for name, line in lookups_in(ast.parse(code))
        if (above - own) & set(name.lstrip("-").split("__"))
    ]


@pytest.mark.parametrize("subject", SUBJECTS)
def test_no_subject_looks_up_into_one_above(subject):
    found = {
        str(file.relative_to(HERE)): looked
        for file in sorted((HERE / "heritage" / subject).rglob("*.py"))
        if "migrations" not in file.parts
        and (looked := reaches_up(subject, file.read_text("utf-8")))
    }
    assert found == {}


@pytest.mark.parametrize(
    "code",
    [
        'Q(sign_ups__gathering__status="posted")',
        "rows.filter(sign_ups__status=1)",
        'Max("sign_ups__gathering__ends_at", filter=live)',
        'Count("sign_ups", distinct=True)',
        'rows.order_by("-led_gatherings__starts_at")',
        'rows.select_related("volunteer__turnout")',
        'Prefetch("sign_ups", queryset=rows)',
        '{"volunteer__sign_ups__status": "held"}',
        "volunteer.sign_ups.all()",
        'demonstration_path = "sign_ups__gathering__demonstration"',
    ],
)
def test_a_lookup_into_a_subject_above_is_found(code):
    assert len(reaches_up("people", code)) >= 1


@pytest.mark.parametrize(
    "code",
    [
        "rows.filter(volunteer__guardian__user=user)",
        'rows.select_related("wording")',
        "SignUp.objects.filter(pk=1)",
        "rows.annotate(turnout=Count('children'))",
    ],
)
def test_a_lookup_on_the_same_subject_or_below_is_none(code):
    assert reaches_up("people", code) == []
    assert reaches_up("gatherings", 'rows.filter(sign_ups__status="held")') == []


def questions():
    for file in HERE.glob("heritage/*/*.py"):
        if "Question[" in file.read_text("utf-8") and file.parent.name != "common":
            module = import_module(f"heritage.{file.parent.name}.{file.stem}")
            found = vars(module).items()
            yield from ((k, v) for k, v in found if isinstance(v, Question))


def test_every_question_is_answered_by_a_subject_above():
    assert len(dict(questions())) > 4
    assert [name for name, one in questions() if not one.is_answered] == []
