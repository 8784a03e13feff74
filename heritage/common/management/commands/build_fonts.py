"""Cut the typefaces down to the letters the site writes: for the page and for paper."""

from itertools import product
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandParser

from heritage.kits.fonts import NAMES, PLAIN, cut, keep_slab

SHEET = "look/fonts/fonts.css"
FOLDER = Path(__file__).parents[2] / "static" / Path(SHEET).parent
FACES = [("Fira Sans", 400), ("Fira Sans", 600), ("Bitter", 700)]
CUTS = {"": PLAIN, "-names": NAMES}


class Command(BaseCommand):
    help = "Build the web fonts, and the one that paper is headed with."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--folder", type=Path, default=FOLDER)

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        sheet = []
        for (family, weight), kind in product(FACES, CUTS):
            name = f"{family.lower().replace(' ', '-')}-{weight}{kind}.woff2"
            made = cut(family, weight, CUTS[kind], "woff2")
            (folder / name).write_bytes(made)
            sheet.append(rule(family, weight, kind, name))
            self.stdout.write(f"{name}: {len(made) // 1024} kB")
        (folder / Path(SHEET).name).write_text("\n".join(sheet), encoding="utf-8")
        keep_slab()


def rule(family: str, weight: int, kind: str, name: str) -> str:
    """Return the CSS that names one cut of a built face.

    A page that comes before its letters keeps its other face until the next page, so
    that nothing moves while one reads.
    """
    letters = ", ".join(f"U+{first:X}-{last:X}" for first, last in CUTS[kind])
    return (
        f'@font-face {{ font-family: "{family}"; font-weight: {weight};'
        f" font-display: optional; unicode-range: {letters};"
        f' src: url("{name}") format("woff2"); }}\n'
    )
