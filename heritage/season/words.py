"""What the drawings of the work say: titles, what they show, names of parts; days."""

from datetime import date
from typing import Final

from django.utils.formats import date_format
from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from heritage.kits.process_drawings.labels import DrawingWords

Words = str | Promise

# By the drawing's name: title, description, and its parts in the drawing's order.
_DRAWN: Final[dict[str, tuple[Words, Words, tuple[Words, ...]]]] = {
    "beet": (
        _("A beet and its band"),
        _(
            "A beet of flax standing upright: stems all one way, roots level at the "
            "foot, a twisted band of rushes round the middle, seed bolls spread at the "
            "top."
        ),
        (
            _("seed bolls"),
            _("stems, all one way"),
            _("band of rushes"),
            _("root end, level"),
        ),
    ),
    "stook": (
        _("A stook"),
        _(
            "A stook: beets stand root end down and lean together in two rows, so that "
            "air passes between them; the last beet lies across their tops."
        ),
        (_("the last beet, laid across"), _("root ends apart, for the air")),
    ),
    "pulling": (
        _("Pulling a handful"),
        _(
            "Two hands close round a handful of flax below the seed bolls and pull it "
            "straight up; the roots come out whole and soil falls from them. Beside it "
            "the crop still stands."
        ),
        (_("grip below the bolls"), _("roots and all")),
    ),
    "dam": (
        _("A filled dam, cut through"),
        _(
            "A dam cut through: beets stand close together in the water, root end "
            "down; rushes lie over them and stones on the rushes hold them under."
        ),
        (
            _("stones hold it under"),
            _("rushes"),
            _("beets, root end down"),
            _("water"),
        ),
    ),
    "brake": (
        _("A brake"),
        _(
            "A hand brake: upper boards, hinged at one end, drop between the lower "
            "boards and crack the woody core of a handful of dry straw laid across "
            "them."
        ),
        (
            _("upper boards"),
            _("lower boards"),
            _("dry straw, across"),
            _("handle"),
        ),
    ),
    "scutching": (
        _("Scutching board and blade"),
        _(
            "Scutching: a broken handful hangs over the notch of an upright board, and "
            "a flat wooden blade strokes down it so that the woody bits fall away."
        ),
        (
            _("board and notch"),
            _("wooden blade"),
            _("broken straw"),
            _("shive falls away"),
        ),
    ),
    "hackle": (
        _("A hackle"),
        _(
            "Hackling: a strick of scutched fibre is drawn through rows of upright "
            "pins on a block; the short fibre, the tow, stays behind."
        ),
        (
            _("draw towards you"),
            _("pins"),
            _("tow stays in the pins"),
            _("block, held down"),
        ),
    ),
}


def drawing_words(name: str, *, named: bool = True) -> DrawingWords:
    """Return what a drawing says, with or without the names of its parts."""
    title, description, names = _DRAWN[name]
    parts = tuple(map(str, names)) if named else ()
    return DrawingWords(str(title), str(description), parts)


def stage_day(
    state: str, first: date | None, last: date | None, planned: date | None
) -> str:
    """Say when a stage was, or is to be, in two or three words."""
    if state == "done" and last:
        return date_format(last, "j M")
    if state == "going" and first:
        return gettext("since %s") % date_format(first, "j M")
    if state == "planned" and planned:
        return gettext("from %s") % date_format(planned, "j M")
    return ""
