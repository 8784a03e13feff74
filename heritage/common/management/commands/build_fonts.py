"""Cut Fira Sans down to the letters the site writes, as woff2 with its own sheet."""

from itertools import product
from pathlib import Path
from typing import Any

import fontpkg_fira_sans
from django.core.management.base import BaseCommand, CommandError, CommandParser

SHEET = "look/fonts/fonts.css"
FOLDER = Path(__file__).parents[2] / "static" / Path(SHEET).parent
SOURCE = Path(fontpkg_fira_sans.__file__).parent / "files"
FACES = {400: "Regular", 600: "SemiBold"}
FEATURES = ["kern", "liga", "lnum", "tnum", "mark", "mkmk", "ccmp", "locl"]
# What English pages are written with: Latin, dashes, quotes, fractions, arrows, a few
# signs. A phone fetches it at once.
PLAIN = [
    (0x20, 0x7E),
    (0xA0, 0xFF),
    (0x2009, 0x203A),
    (0x20AC, 0x20AC),
    (0x2150, 0x215E),
    (0x2190, 0x2193),
    (0x2212, 0x2265),
]
# The letters of Irish, Welsh, Polish, Lithuanian and Romanian; Greek and Cyrillic for
# names. Fetched by a page that has one of them.
NAMES = [
    (0x100, 0x17F),
    (0x218, 0x21B),
    (0x386, 0x3CE),
    (0x400, 0x45F),
    (0x490, 0x491),
    (0x1E02, 0x1E6B),
    (0x1E80, 0x1E85),
    (0x1EF2, 0x1EF3),
]
CUTS = {"": PLAIN, "-names": NAMES}


class Command(BaseCommand):
    help = "Build the web fonts."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--folder", type=Path, default=FOLDER)

    def handle(self, *args: Any, folder: Path, **options: Any) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        for face, cut_to in product(FACES.values(), CUTS):
            path = cut(face, cut_to, folder)
            self.stdout.write(f"{path.name}: {path.stat().st_size // 1024} kB")
        sheet = "\n".join(rule(*one) for one in product(FACES.items(), CUTS))
        (folder / Path(SHEET).name).write_text(sheet, encoding="utf-8")


def cut(face: str, cut_to: str, folder: Path) -> Path:
    """Write one face's letters of one cut as woff2 into ``folder``; return its path."""
    try:
        from fontTools import subset  # type: ignore[import-untyped]
    except ImportError as error:
        raise CommandError("Install fonttools[woff] to build the fonts.") from error

    options = subset.Options(flavor="woff2", layout_features=FEATURES)
    subsetter = subset.Subsetter(options)
    subsetter.populate(
        unicodes=[c for first, last in CUTS[cut_to] for c in range(first, last + 1)]
    )
    path = folder / f"fira-sans-{face.lower()}{cut_to}.woff2"
    with subset.load_font(str(SOURCE / f"FiraSans-{face}.ttf"), options) as font:
        subsetter.subset(font)
        subset.save_font(font, str(path), options)
    return path


def rule(weighed: tuple[int, str], cut_to: str) -> str:
    """Return the CSS that names one cut of a built face."""
    weight, face = weighed
    letters = ", ".join(f"U+{first:X}-{last:X}" for first, last in CUTS[cut_to])
    return (
        f'@font-face {{ font-family: "Fira Sans"; font-weight: {weight};'
        f" font-display: optional; unicode-range: {letters};"
        f' src: url("fira-sans-{face.lower()}{cut_to}.woff2") format("woff2"); }}\n'
    )
