"""The example in the README runs as it stands."""

from pathlib import Path

from heritage import kits


def test_the_example_prints_a_sheet():
    readme = (Path(kits.__file__).parent / "README.md").read_text(encoding="utf-8")
    example = readme.split("```python\n")[1].split("```")[0]
    names: dict[str, object] = {}
    exec(compile(example, "README.md", "exec"), names)  # noqa: S102
    assert names["pdf"].startswith(b"%PDF-1.7")
