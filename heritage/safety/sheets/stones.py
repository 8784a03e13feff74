"""The stones for the dam on paper: who lifts which."""

from datetime import date

from django.utils.formats import date_format, number_format
from django.utils.translation import gettext as _

from heritage.kits import paper
from heritage.safety.selectors.stones import StoneGroup, StonePage
from heritage.safety.sheets.graded import graded
from heritage.safety.sheets.stopping import stop_blocks


def stones_sheet(page: StonePage, *, printed_on: date, large_print: bool) -> bytes:
    """Print which stones one, two or three may lift, and which nobody."""
    holding = page.holding
    return paper.sheet(
        title=_("Stones for the dam"),
        subtitle=_("Hands %(start)s, to %(end)s; %(reach)s; read for %(who)s")
        % {
            "start": holding.start.value,
            "end": holding.end.value,
            "reach": holding.reach.value,
            "who": holding.who,
        },
        language="en-GB",
        large_print=large_print,
        blocks=graded(
            [
                *_cautions(),
                *stop_blocks(),
                paper.Para(_source(page)),
                *[block for group in page.groups for block in _group(group, page)],
            ]
        ),
        footer=paper.Footer(
            owner=page.demonstration.name,
            version=_("Stones, printed %s") % date_format(printed_on, "j F Y"),
        ),
    )


def _cautions() -> list[paper.Block]:
    return [
        paper.Caution(
            "warning",
            _(
                "These figures screen a lift. They are not safe limits. Anybody may "
                "refuse a lift."
            ),
        ),
        paper.Caution(
            "prohibition",
            _(
                "Do not go by this list in the water, with wet hands or on wet planks. "
                "No figure holds there: slide, roll or lever."
            ),
        ),
        paper.Caution(
            "mandatory",
            _("Two do not lift twice as much as one. Agree on one caller first."),
        ),
    ]


def _group(group: StoneGroup, page: StonePage) -> list[paper.Block]:
    head = group.heading
    if group.up_to_kg is not None:
        said = (
            _(" (up to %s kg)")
            if page.confirmed
            else _(" (up to %s kg, to be confirmed)")
        )
        head += said % number_format(group.up_to_kg, 1)
    if not group.stones:
        return [paper.Heading(head), paper.Para(_("None."))]
    rows = [
        [
            stone.mark,
            number_format(stone.weight_kg, 1),
            str(stone.how_many),
            _("weighed") if stone.weighed else _("guessed: weigh it first"),
        ]
        for stone in group.stones
    ]
    total = [_("Together"), number_format(group.kg, 1), str(group.how_many), ""]
    columns = [_("Mark"), _("Kilograms each"), _("How many"), _("How known")]
    table = paper.Table(columns, rows, widths=[3, 2, 2, 4], align="lrrl", total=total)
    return [paper.Heading(head), table]


def _source(page: StonePage) -> str:
    said = _(
        "From the HSE's filter for lifting (INDG143) and its team figures (L23): two "
        "lift two thirds of their sum, three half; for four nothing is published."
    )
    if not page.confirmed:
        said += " " + _("The figure for these heights is to be confirmed.")
    return (
        said + " " + _("Where local codes or licensed practice are stricter, they win.")
    )
