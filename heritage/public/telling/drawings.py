"""The card that a link to a demonstration shows: drawn here, of public words alone."""

from heritage.kits.drawing.land import Land
from heritage.kits.drawing.marks import Drawing, Mark, Rect, Text
from heritage.kits.drawing.picture import to_png, width_of
from heritage.public.telling.selectors import Card

WIDTH, HEIGHT = 1200, 630
LAND, EDGE, LARGEST = 390, 60, 76


def card_png(card: Card) -> bytes:
    """Draw the land as it stands, and under it what this is and when to come."""
    land = Land(WIDTH, LAND, card.standing, stooks=5, people=4)
    size = min(LARGEST, LARGEST * (WIDTH - 2 * EDGE) / width_of(card.says, LARGEST))
    marks: tuple[Mark, ...] = (
        Rect(0, 0, WIDTH, HEIGHT, "light", filled=True),
        *land.marks(),
        Text(EDGE, LAND + 95, card.says, size=size, bold=True),
        Text(EDGE, LAND + 150, card.when, size=36),
        Text(EDGE, HEIGHT - 30, card.name, "crop", size=32, bold=True),
    )
    return to_png(Drawing(WIDTH, HEIGHT, marks))
