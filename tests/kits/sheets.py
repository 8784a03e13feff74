"""Small makers shared by the tests of sheets."""

from io import BytesIO

from PIL import Image
from reportlab.pdfgen.canvas import Canvas

from heritage.kits.drawing.marks import Drawing
from heritage.kits.drawing.print import paint
from heritage.kits.paper.blocks import Block, Footer, Para, Words
from heritage.kits.paper.sheet import sheet

FOOTER = Footer("Carrowlint flax", "Version 3", "https://carrowlint.example/pulling")
WORDS = Words(
    page="Page {page} of {pages}",
    printed_from="Printed from {address}",
    qr="QR code for {address}",
    warning="Warning",
    prohibition="Do not",
    mandatory="You must",
    safe="Safe",
    first_aid="First aid",
    signed="Signed",
    date="Date",
)
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
        "words": WORDS,
        "footer": FOOTER,
        "blocks": blocks or (Para("We pull the whole plant."),),
    }
    return sheet(**(arguments | overrides))


def painted(drawing: Drawing) -> bytes:
    """Paint a drawing alone on a page of its own size."""
    buffer = BytesIO()
    size = (drawing.width, drawing.height)
    canvas = Canvas(buffer, pagesize=size, invariant=1, pageCompression=0)
    paint(drawing, canvas, 0, 0)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def make_jpeg(size=(320, 200), **save) -> bytes:
    """Make a plain picture."""
    buffer = BytesIO()
    Image.new("RGB", size, (180, 160, 110)).save(buffer, "JPEG", **save)
    return buffer.getvalue()
