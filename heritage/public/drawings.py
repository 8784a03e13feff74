"""Drawings for visitors, ready to be set in a page."""

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from heritage.kits.drawing.land import Land
from heritage.kits.drawing.marks import Drawing
from heritage.kits.drawing.svg import to_svg
from heritage.tally.selectors import FieldProgress

# Small, so that it weighs little; the page makes it as wide as itself.
STRIP = 460, 150


def strip_svg(progress: FieldProgress) -> SafeString:
    """Draw the land for a page that has no picture yet."""
    standing = 1 - progress.likely_percent / 100 if progress.has_stand else 0.6
    land = Land(*STRIP, standing, stooks=3, people=2)
    told = _("A field; some of the crop stands, and people pull it by hand.")
    drawing = Drawing(*STRIP, tuple(land.marks()), _("The field"), told)
    return _svg(drawing, "land")


def _svg(drawing: Drawing, prefix: str) -> SafeString:
    # The kit escapes every word that it sets in the drawing.
    return mark_safe(to_svg(drawing, prefix=prefix))  # noqa: S308
