"""How much of the arithmetic, the services and the selectors the tests reach.

Loaded before anything of the site (``-p tests.followed``), every test worker keeps
which lines and branches it ran in a file under ``$FOLLOWED``; run as a program
afterwards, this adds them up and refuses less than is promised.
"""

import json
import os
import re
import sys
from collections.abc import Iterable
from functools import reduce
from pathlib import Path

import slipcover

# What is followed, and how much of its lines and branches is reached, in percent.
PROMISED = {
    r"heritage/calc/[^/]+\.py$": 100,
    r"heritage/.+/services\.py$": 95,
    r"heritage/.+/selectors\.py$": 95,
}
UNREACHABLE = ["if TYPE_CHECKING:", "@overload", r"\.\.\.$"]


class Followed:
    """Which files are followed."""

    @staticmethod
    def matches(filename: str | Path) -> bool:
        return any(re.search(pattern, str(filename)) for pattern in PROMISED)


def follow() -> slipcover.Slipcover:
    """Follow whatever of it is imported from now on."""
    tracker = slipcover.Slipcover(branch=True, immediate=True, exclude_also=UNREACHABLE)
    slipcover.ImportManager(tracker, Followed()).__enter__()
    return tracker


def count(files: Iterable[dict], kind: str) -> int:
    return sum(len(f[f"{kind}_lines"]) + len(f[f"{kind}_branches"]) for f in files)


def main() -> None:
    """Say how much was reached, and what was not where that is too little."""
    workers = sorted(Path(os.environ["FOLLOWED"]).glob("*.json"))
    ran = reduce(slipcover.merge_coverage, [json.loads(w.read_text()) for w in workers])
    too_little = False
    for pattern, least in PROMISED.items():
        files = {n: f for n, f in ran["files"].items() if re.search(pattern, n)}
        reached, missed = (count(files.values(), k) for k in ("executed", "missing"))
        percent = 100 * reached / (reached + missed)
        print(f"{pattern} {percent:.2f} % of {len(files)} files (at least {least} %)")
        if percent < least:
            too_little = True
            for name, file in files.items():
                print(" ", name, file["missing_lines"], file["missing_branches"])
    sys.exit(too_little)


if __name__ == "__main__":
    main()
else:
    followed = follow()

    def pytest_sessionfinish() -> None:
        name = os.environ.get("PYTEST_XDIST_WORKER", "alone")
        ran = json.dumps(followed.get_coverage())
        Path(os.environ["FOLLOWED"], f"{name}.json").write_text(ran)
