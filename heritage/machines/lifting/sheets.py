"""The stones for the dam on paper: who lifts which."""

from datetime import date

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _

from heritage.briefings.sheets import graded, stop_blocks
from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks
from heritage.machines.lifting.selectors import (
    Pile,
    StoneGroup,
    StoneHolding,
    StoneLine,
    StonePage,
)
from heritage.machines.lifting.words import REACH_WORDS, WHO_WORDS, ZONE_WORDS


def stones_sheet(page: StonePage, *, printed_on: date, large_print: bool) -> bytes:
    """Print which stones one, two or three may lift, and which nobody."""
    return paper.sheet(
        title=_("Stones for the dam"),
        subtitle=_("Who may lift which"),
        large_print=large_print,
        blocks=graded(
            [
                *_cautions(),
                *stop_blocks(),
                *_piles(page),
                paper_blocks.Para(
                    _held(page.holding), lead=_("The lists below are for:")
                ),
                paper_blocks.Para(_source(page)),
                *[block for group in page.groups for block in _group(group, page)],
            ]
        ),
        footer=paper_blocks.Footer(
            owner=page.demonstration.name,
            version=_("Stones, printed %s") % date_format(printed_on, "j F Y"),
        ),
    )


def _held(holding: StoneHolding) -> str:
    words = _(
        "hands at the start %(start)s, at the end %(end)s; the stone %(reach)s; "
        "figures for %(who)s."
    )
    return words % {
        "start": ZONE_WORDS[holding.start],
        "end": ZONE_WORDS[holding.end],
        "reach": REACH_WORDS[holding.reach],
        "who": WHO_WORDS[holding.who],
    }


def _cautions() -> list[paper_blocks.Block]:
    return [
        paper_blocks.Caution(
            "warning",
            _(
                "These figures are a rough check. They are not safe limits. Anybody "
                "may refuse a lift."
            ),
        ),
        paper_blocks.Caution(
            "prohibition",
            _(
                "Do not go by this list in the water, with wet hands or on wet planks. "
                "No figure holds there: slide, roll or lever."
            ),
        ),
        paper_blocks.Caution(
            "mandatory",
            _("Two do not lift twice as much as one. Agree on one caller first."),
        ),
    ]


def _piles(page: StonePage) -> list[paper_blocks.Block]:
    """Show what raising the pile changes."""
    if not page.weight.how_many:
        return []
    rows = [_pile(pile) for pile in page.piles]
    columns = [
        _("The pile lies"),
        _("One, kg"),
        _("Two, kg"),
        _("Three, kg"),
        _("Stones nobody may lift"),
    ]
    return [
        paper_blocks.Heading(_("Raise the pile")),
        paper_blocks.Para(page.from_the_ground),
        paper_blocks.Table(columns, rows, widths=[6, 2, 2, 2, 3], align="lrrrr"),
        paper_blocks.Para(
            _(
                "Have the stones unloaded onto a bench, not the ground. A bench helps "
                "only while the hands stay that high: set down low, a stone counts as "
                "from the ground. Slide it off a plank."
            )
        ),
    ]


def _pile(pile: Pile) -> list[str]:
    return [
        pile.where if pile.confirmed else _("%s; not checked in print") % pile.where,
        *(number_format(kg, 1) for kg in pile.up_to_kg),
        pile.left_words,
    ]


def _group(group: StoneGroup, page: StonePage) -> list[paper_blocks.Block]:
    heading = paper_blocks.Heading(_heading(group, page))
    if not group.stones:
        return [heading, paper_blocks.Para(_("None."))]
    rows = [_stone(line) for line in group.lines]
    total = [_("All"), number_format(group.kg, 1), str(group.how_many), *4 * [""]]
    columns = [
        _("Mark"),
        _("Kg each"),
        _("How many"),
        _("People: ground"),
        _("People: knee bench"),
        _("People: hand bench"),
        _("How known"),
    ]
    widths = [3.8, 3, 2.8, 4.2, 4.2, 4.2, 5]
    table = paper_blocks.Table(
        columns, rows, widths=widths, align="lrrllll", total=total
    )
    return [heading, table]


def _heading(group: StoneGroup, page: StonePage) -> str:
    if group.up_to_kg is None:
        return group.heading
    up_to = (
        _(" (up to %s kg)")
        if page.confirmed
        else _(" (up to %s kg, not checked in print)")
    )
    return group.heading + up_to % number_format(group.up_to_kg, 1)


def _stone(line: StoneLine) -> list[str]:
    stone = line.stone
    return [
        stone.mark,
        number_format(stone.weight_kg, 1),
        str(stone.how_many),
        *line.people,
        _("weighed") if stone.weighed else _("guessed: weigh it first"),
    ]


def _source(page: StonePage) -> str:
    source = _(
        "From the HSE's filter for lifting (INDG143) and its team figures (L23): two "
        "lift two thirds of their sum, three half; for four nothing is published."
    )
    if not page.confirmed:
        source += " " + _("We have not checked the figure for these heights in print.")
    stricter = _(
        "Where local codes, or people licensed for the work, are stricter, they win."
    )
    return f"{source} {stricter}"
