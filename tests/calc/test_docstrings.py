"""Every public name of the calculation module says what it takes and gives."""

import importlib
import inspect
import pkgutil

import pytest
from numpydoc.validate import validate

from heritage import calc

# The project's own choice of checks, as in pyproject.toml. A dataclass lists its
# fields under Attributes, which the class's own signature check does not know.
CHECKS = {"GL08", "SS03", "PR01", "PR02", "PR03", "PR04", "RT01", "RT03"}
OF_CLASSES = {"GL08", "SS03"}


def public_names():
    """Yield each module's own public functions and classes, and their methods."""
    for found in pkgutil.iter_modules(calc.__path__):
        if found.name.startswith("_"):
            continue
        module = importlib.import_module(f"heritage.calc.{found.name}")
        named = getattr(module, "__all__", None) or [
            name
            for name, thing in vars(module).items()
            if not name.startswith("_")
            and getattr(thing, "__module__", "") == module.__name__
        ]
        for name in named:
            thing = getattr(module, name)
            if inspect.isfunction(thing):
                yield f"{module.__name__}.{name}", CHECKS
            elif inspect.isclass(thing):
                yield f"{module.__name__}.{name}", OF_CLASSES
                for method, body in vars(thing).items():
                    if inspect.isfunction(body) and not method.startswith("_"):
                        yield f"{module.__name__}.{name}.{method}", CHECKS


@pytest.mark.parametrize(("name", "checks"), sorted(public_names(), key=str))
def test_public_names_are_documented_in_full(name, checks):
    wrong = [error for error in validate(name)["errors"] if error[0] in checks]
    assert wrong == []
