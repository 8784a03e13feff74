"""An A4 sheet made larger, so that both sizes say and show the same."""

from io import BytesIO
from typing import Any, Final

import pikepdf

A3: Final = 2**0.5


def as_a3(drawn: bytes) -> bytes:
    """Make every A4 page of a PDF an A3 one, and let its bookmarks follow."""
    stream = BytesIO()
    with pikepdf.open(BytesIO(drawn)) as pdf:
        for page in pdf.pages:
            left, foot, right, top = (float(edge) for edge in page.mediabox)
            page.mediabox = pikepdf.Rectangle(left, foot, A3 * right, A3 * top)
            page.contents_add(f"q {A3:.6f} 0 0 {A3:.6f} 0 0 cm".encode(), prepend=True)
            page.contents_add(b"Q")
        places: Any = pdf.Root.get("/Dests", {})
        for name in list(places):
            places[name] = pikepdf.Array(_larger(part) for part in places[name])
        pdf.save(stream, deterministic_id=True)
    return stream.getvalue()


def _larger(part: Any) -> Any:
    """Scale a measure of a bookmark's place; leave the page and the kind of view."""
    is_measure = not isinstance(part, pikepdf.Object) and part is not None
    return round(float(part) * A3, 3) if is_measure else part
