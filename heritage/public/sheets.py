"""The poster: when to come, and what for."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks
from heritage.kits.paper.bill import Bill
from heritage.public.process.words import text_of
from heritage.public.selectors import Poster


def poster(
    page: Poster,
    *,
    address: str,
    printed_on: date,
    large_print: bool,
    a3: bool = False,
) -> bytes:
    """Print the poster of a gathering, to be read across a yard."""
    row = page.gathering
    zone = row.demonstration.zone
    starts, ends = row.starts_at.astimezone(zone), row.ends_at.astimezone(zone)
    text = text_of(row.stage)
    needed, extra = _needed_lines(page), _more_lines(page)
    return paper.bill(
        Bill(
            call=text.come,
            word=row.demonstration.crop,
            told=_("A field; some of the crop stands, and people pull it by hand."),
            day=date_format(starts, "l j F"),
            hours=_("%(starts)s to %(ends)s")
            % {"starts": f"{starts:%H:%M}", "ends": f"{ends:%H:%M}"},
            lines=[*needed, *extra],
            needed=len(needed),
            cautions=_poster_cautions(page),
            code=paper_blocks.QR(address, _code_label(page)),
            foot=(
                row.demonstration.name,
                _("Printed %s") % date_format(printed_on, "j F Y"),
            ),
            banner=_("Called off") if page.standing == "off" else "",
        ),
        large_print=large_print,
        a3=a3,
    )


def _code_label(page: Poster) -> str:
    if page.standing == "off":
        return _("See why, and when people meet next")
    return _("Sign up, and check it's going ahead")


def _needed_lines(page: Poster) -> list[tuple[str, str]]:
    """Say what and where, and who may come: never left off for want of room."""
    row = page.gathering
    lines = [(row.title, ""), (_("Meet at"), row.place), ("", page.line.was)]
    if page.standing != "off":
        lines.append(("", _who_may_come(page)))
    return [(lead, text) for lead, text in lines if lead or text]


def _more_lines(page: Poster) -> list[tuple[str, str]]:
    row = page.gathering
    lines = [
        ("", row.demonstration.directions),
        ("", page.line.light.words.capitalize()),
        (_("Bring"), row.bring),
        (_("Questions?"), row.demonstration.contact),
        ("", row.note),
    ]
    return [(lead, text) for lead, text in lines if text]


def _who_may_come(page: Poster) -> str:
    """Say what to know before one sets out."""
    who = (
        _("Adults only, no children.")
        if page.is_for_adults
        else _("A child comes with an adult who answers for them.")
    )
    come = _("No experience needed. A safety briefing comes first.")
    return f"{come} {who}"


def _poster_cautions(page: Poster) -> list[paper_blocks.Caution]:
    """Say the danger of the water, and that it isn't sure to go ahead."""
    cautions = []
    if page.standing == "hold":
        words = _("Look again before you set out.")
        cautions.append(paper_blocks.Caution("warning", words, word=_("Wait and see")))
    if page.is_at_water and page.standing != "off":
        back = _("Keep back from the edge.")
        cautions.append(paper_blocks.Caution("warning", back, word=_("Deep water")))
    return cautions
