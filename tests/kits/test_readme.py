"""The README names every module, and its example runs as it stands."""

import re
from pathlib import Path

from heritage import kits

HERE = Path(kits.__file__).parent
README = (HERE / "README.md").read_text(encoding="utf-8")


def test_every_module_is_named():
    named = re.findall(r"\w+", " ".join(re.findall(r"`([^`\n]+)`", README)))
    modules = {path.stem for path in HERE.rglob("*.py")} - {"__init__"}
    assert modules - {*named} == set()


def test_the_example_prints_a_sheet():
    example = README.split("```python\n")[1].split("```")[0]
    names: dict[str, object] = {}
    exec(compile(example, "README.md", "exec"), names)  # noqa: S102
    assert names["pdf"].startswith(b"%PDF-1.7")
