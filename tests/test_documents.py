"""What the documents name in code marks is there: paths, modules and names."""

import re
from functools import cache
from importlib import import_module
from pathlib import Path

import pytest
from django.apps import apps
from django.core.management import get_commands

HERE = Path(__file__).parent.parent
HOUSE = HERE / "heritage"
SUBJECTS = {path.parent.name for path in HOUSE.glob("*/__init__.py")}
DRAWERS = {path.stem for path in HOUSE.glob("*/*.py")} - {"__init__"}
DOCUMENTS = [HERE / "DEVELOPERS.md", *sorted(HOUSE.glob("*/README.md"))]
CODE = re.compile(r"(?<!`)`([^`\n]+)`(?!`)")
FENCE = re.compile(r"^```.*?^```", re.DOTALL | re.MULTILINE)
PATH = re.compile(r"[\w.-]*(?:/[\w.*-]*)+|[\w*-]+\.(?:py|json|html|js|css|md|toml)")
DOTTED = re.compile(r"[a-z_]\w*(?:\.\w+)+|[A-Z]\w+(?:\.\w+)+")
SUFFIXES = {".py", ".json", ".html", ".js", ".css", ".md", ".toml", ".jpg"}


def named_in(document):
    """Each thing in code marks, less what is called with and what it gives back."""
    text = FENCE.sub("", document.read_text(encoding="utf-8"))
    for span in CODE.findall(text):
        yield span.split("(")[0].split(" ")[0].strip()


def subject_of(document):
    return document.parent.name if document.parent.parent == HOUSE else ""


def is_path_of_ours(name):
    first = name.split("/")[0]
    ours = first in {"heritage", "templates", "tests", "fixtures", ".ci", ".deps"}
    return ours or Path(name).suffix in SUFFIXES


def path_stands(name, subject):
    roots = [HERE, HERE / "templates", HERE / "static"]
    if subject:
        roots = [HOUSE / subject, HOUSE / subject / "static" / subject, *roots]
    elif "/" not in name:
        return any(HOUSE.rglob(name)) or (HERE / name).exists()
    return any(any(root.glob(name.rstrip("/"))) for root in roots)


def follow(thing, names):
    for name in names:
        if not hasattr(thing, name):
            return False
        thing = getattr(thing, name)
    return True


def module_stands(name):
    """Say whether a dotted name is a module, or something in one."""
    parts = name.split(".")
    for end in range(len(parts), 0, -1):
        try:
            module = import_module(".".join(["heritage", *parts[:end]]))
        except ModuleNotFoundError:
            continue
        return follow(module, parts[end:])
    return False


def dotted_stands(name, subject):
    """Look for a dotted name from its subject, from the house, or in a model."""
    first, *rest = name.removeprefix("heritage.").split(".")
    if first[0].isupper():
        models = [model for model in apps.get_models() if model.__name__ == first]
        return any(follow(model, rest) for model in models)
    if first in SUBJECTS and module_stands(".".join([first, *rest])):
        return True
    return bool(subject) and module_stands(".".join([subject, first, *rest]))


def is_dotted_of_ours(name, subject):
    first = name.split(".")[0]
    ours = first in SUBJECTS | DRAWERS | {"heritage"} or first[0].isupper()
    return ours or (HOUSE / subject / first).exists() if subject else ours


@cache
def words_of_the_code():
    kinds = ("*.py", "*.html", "*.js", "*.css", "*.toml", "run")
    roots = [HOUSE, HERE / "templates", HERE / "static", HERE / "tests", HERE / ".ci"]
    files = [file for root in roots for kind in kinds for file in root.rglob(kind)]
    files += [HERE / "pyproject.toml", HERE / "manage.py"]
    return set(re.findall(r"\w+", "\n".join(f.read_text("utf-8") for f in files)))


def is_missing(name, subject):
    if "<" in name or name.startswith("/"):
        return False
    if is_path_of_ours(name) and PATH.fullmatch(name):
        return not path_stands(name, subject)
    if DOTTED.fullmatch(name) and is_dotted_of_ours(name, subject):
        return not dotted_stands(name, subject)
    return bool(re.fullmatch(r"\w+", name)) and name not in words_of_the_code()


@pytest.mark.parametrize(
    "document", DOCUMENTS, ids=lambda path: str(path.relative_to(HERE))
)
def test_whatever_a_document_names_is_there(document):
    subject = subject_of(document)
    missing = {name for name in named_in(document) if is_missing(name, subject)}
    assert missing == set()


@pytest.mark.parametrize("subject", sorted(SUBJECTS - {"calc"}))
def test_every_subject_has_a_short_readme(subject):
    readme = (HOUSE / subject / "README.md").read_text(encoding="utf-8")
    assert len(readme.splitlines()) < 40


def test_the_map_names_every_subject_and_part():
    told = (HERE / "DEVELOPERS.md").read_text(encoding="utf-8").split("```")[1]
    parts = {
        path.parent.name
        for path in HOUSE.glob("*/*/__init__.py")
        if path.parent.parent.name not in {"kits", "calc", "common"}
    } - {"migrations", "management", "templatetags"}
    assert {*SUBJECTS, *parts} - set(re.findall(r"\w+", told)) == set()


def test_every_command_and_setting_that_is_told_is_there():
    readme = (HERE / "README.md").read_text(encoding="utf-8")
    told = readme + "".join(path.read_text(encoding="utf-8") for path in DOCUMENTS)
    assert set(re.findall(r"manage\.py ([a-z]\w+)", told)) <= {*get_commands()}
    settings = (HOUSE / "settings.py").read_text(encoding="utf-8")
    rows = re.findall(r"^\| (`[A-Z].*?) \|", readme, re.MULTILINE)
    named = {name for row in rows for name in re.findall(r"`(\w+)`", row)}
    assert len(named) > 20
    assert {name for name in named if f'"{name}"' not in settings} == set()
