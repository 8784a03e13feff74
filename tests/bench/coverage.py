"""How often the truth falls inside each range, in long runs, for VALIDATION.md.

Run by hand: ``python -m tests.bench.coverage``. The first row of each table is the
range's own model; the others are wrong on purpose.
"""

from tests.calc.coverage import finish_coverage, ratio_coverage, stand_coverage

RUNS = 10_000
SHARE = 0.338 / (0.338 + 0.25)
STANDS = {
    "pieces differ by a quarter": {},
    "by 15 %": {"spread": 0.15},
    "by 40 %": {"spread": 0.40},
    "neighbours alike (0.5), pulled in order": {"alike": 0.5},
}
FINISHES = {
    "weather and turnout as told": {},
    "told without the weather's memory": {"told": (SHARE, SHARE)},
    "dry spells longer than told": {"weather": (0.25, 0.815)},
    "five in ten come, told six": {"comes": 0.5},
    "seven in ten come, told six": {"comes": 0.7},
    "evenings less alike than told": {"evenness": 2.0},
}


def main() -> None:
    """Print the tables."""
    for name, said in STANDS.items():
        shares = [stand_coverage(n, runs=RUNS, **said) for n in (1, 3, 5, 9)]
        print(f"stand, {name}:", *(f"{share:.2f}" for share in shares))
    for ahead in (float("inf"), 1):
        shares = [ratio_coverage(n, runs=RUNS, ahead=ahead) for n in (1, 3, 9)]
        print(f"ratio, {ahead} ahead:", *(f"{share:.2f}" for share in shares))
    for name, said in FINISHES.items():
        print(f"finish, {name}: {finish_coverage(runs=RUNS, **said):.2f}")


if __name__ == "__main__":
    main()
