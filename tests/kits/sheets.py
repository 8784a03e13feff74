"""Small makers shared by the tests of sheets."""

from io import BytesIO

from PIL import Image

from heritage.kits.paper.blocks import Block, Footer, Para
from heritage.kits.paper.sheet import sheet

FOOTER = Footer("Carrowlint flax", "Version 3", "https://carrowlint.example/pulling")
NAMES = (
    "Seán Ó Súilleabháin",
    "Ḃríd Ní Ḋoċartaiġ",
    "Łukasz Żółkiewski",
    "Ąžuolas Šukys",
    "Ștefan Țăran",
    "Олена Їжакевич",
)


def make_sheet(*blocks: Block, **overrides) -> bytes:
    """Print a sheet of the given blocks, or of one paragraph."""
    arguments = {
        "title": "Pulling the flax",
        "subtitle": "Process sheet 4",
        "language": "en-GB",
        "footer": FOOTER,
        "blocks": blocks or (Para("We pull the whole plant."),),
    }
    return sheet(**(arguments | overrides))


def make_jpeg(size=(320, 200), **save) -> bytes:
    """Make a plain picture."""
    buffer = BytesIO()
    Image.new("RGB", size, (180, 160, 110)).save(buffer, "JPEG", **save)
    return buffer.getvalue()
