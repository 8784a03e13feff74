"""A QR code as a drawing, for page and paper alike."""

from functools import lru_cache
from typing import Final

from reportlab.graphics.barcode import qrencoder

from heritage.kits.drawing.marks import Drawing, Mark, Rect

QUIET: Final = 4
# Rows meet with a hair's overlap, or a printer shows white seams between them.
OVERLAP: Final = 0.02


def _modules(address: str) -> list[list[bool]]:
    code = qrencoder.QRCode(None, qrencoder.QRErrorCorrectLevel.M)
    # Bytes on purpose: left alone, the encoder writes Cyrillic as Japanese.
    code.addData(qrencoder.QR8bitByte(address))
    code.make()
    return [[bool(module) for module in row] for row in code.modules]


def _runs(row: list[bool]) -> list[tuple[int, int]]:
    """Give each run of dark modules as its start and length."""
    edges = [
        at
        for at, (before, here) in enumerate(
            zip([False, *row], [*row, False], strict=True)
        )
        if before != here
    ]
    return [
        (start, end - start) for start, end in zip(edges[::2], edges[1::2], strict=True)
    ]


@lru_cache(maxsize=256)
def qr_drawing(address: str) -> Drawing:
    """Draw the QR code of an address, with its quiet zone."""
    rows = _modules(address)
    side = len(rows) + 2 * QUIET
    marks: list[Mark] = [Rect(0, 0, side, side, "sign-white", filled=True)]
    marks += [
        Rect(QUIET + x, QUIET + y, length, 1 + OVERLAP, "sign-black", filled=True)
        for y, row in enumerate(rows)
        for x, length in _runs(row)
    ]
    return Drawing(side, side, tuple(marks))
