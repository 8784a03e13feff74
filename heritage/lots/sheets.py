"""Labels to tie on bundles, eight to an A4 sheet."""

from collections.abc import Sequence
from datetime import date

from django.conf import settings
from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.common.sheets import sheet
from heritage.kits.paper import blocks as paper
from heritage.lots.models import Lot
from heritage.season.models import Demonstration

A_SHEET = 8


def label_sheet(
    lots: Sequence[Lot], demonstration: Demonstration, *, printed_on: date
) -> bytes:
    """Return a label for each lot; the same lot again where there are more bundles."""
    return sheet(
        title=_("Labels"),
        subtitle=_("One to each bundle. The code opens the lot's page."),
        blocks=[paper.Labels([_label(lot) for lot in lots])],
        footer=paper.Footer(
            owner=demonstration.name,
            version=_("Printed %s") % date_format(printed_on, "j F Y"),
        ),
    )


def _label(lot: Lot) -> paper.Label:
    day = lot.gathering.starts_at if lot.gathering else lot.made_at
    lines = [date_format(day.astimezone(lot.demonstration.zone), "D j M Y")]
    if lot.plot:
        lines.append(lot.plot.name)
    elif not lot.is_pulled:
        lines.append(_("made from other lots"))
    url = settings.SITE_ADDRESS + lot.get_absolute_url()
    return paper.Label(str(lot), lines, url)
