"""The stop rules, for every sheet that goes out of doors."""

from django.utils.translation import gettext as _

from heritage.kits import paper
from heritage.safety.selectors.words import stop_rules


def stop_blocks() -> list[paper.Block]:
    """Return the rules on stopping as one short part of a sheet.

    Anybody may call it, thunder, light, and everybody out.
    """
    points = paper.Bullets(stop_rules())
    return [paper.Together([paper.Heading(_("When we stop")), points])]


def stop_caution() -> paper.Block:
    """Return the rules on stopping as one panel, where room is short."""
    return paper.Caution("mandatory", " ".join(stop_rules()), word=_("When we stop"))
