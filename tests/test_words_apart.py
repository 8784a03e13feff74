"""Words stand with the page: what works out, reads and draws says no sentence."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import heritage

HOUSE = Path(heritage.__file__).parent
MODULES = sorted([*(HOUSE / "calc").rglob("*.py"), *(HOUSE / "kits").rglob("*.py")])
# Names of others, which no page translates.
NAMES = {"MET Norway, CC BY 4.0", "-//Heritage demonstration organiser//Diary//EN"}
MARKUP = re.compile(r"[<>=/%]|^--")
SENTENCE = re.compile(r"[A-Za-z]+ [A-Za-z]+ [A-Za-z]+|[A-Za-z]{2,} [A-Za-z]+[.:]$")


def texts(tree: ast.Module) -> Iterator[ast.Constant]:
    """Give every text in a module but docstrings and what programmers are told."""
    silent = [
        part
        for node in ast.walk(tree)
        if isinstance(node, ast.Raise | ast.Assert)
        or (isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant))
        for part in ast.walk(node)
    ]
    kept = {id(node) for node in silent}
    constants = (node for node in ast.walk(tree) if isinstance(node, ast.Constant))
    for node in constants:
        if isinstance(node.value, str) and id(node) not in kept:
            yield node


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(HOUSE)))
def test_it_says_no_sentence(path):
    said = [
        f"{node.lineno}: {node.value}"
        for node in texts(ast.parse(path.read_text(encoding="utf-8")))
        if SENTENCE.search(node.value)
        and not MARKUP.search(node.value)
        and node.value not in NAMES
    ]
    assert said == []


def test_a_sentence_would_be_found():
    found = texts(
        ast.parse('def why():\n    """A docstring."""\n    return "It is wet."')
    )
    assert [bool(SENTENCE.search(node.value)) for node in found] == [True]
