"""The risk assessment: every hazard, judged twice, with its controls in order."""

from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from heritage.briefings.hazards.selectors import (
    AN_OPINION,
    BAND_SOURCE,
    LIKELIHOOD_WORDS,
    HazardLine,
    Judgement,
    RiskSheet,
    band_table,
)
from heritage.briefings.sheets import graded
from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks


def risk_sheet(sheet: RiskSheet, *, printed_on: date, large_print: bool) -> bytes:
    """Print the assessment of every hazard, with the table that the bands come from."""
    place = sheet.demonstration
    return paper.sheet(
        title=_("Risk assessment"),
        subtitle=_("%(place)s, %(year)d")
        % {"place": place.place_name, "year": place.year},
        large_print=large_print,
        blocks=graded(
            [
                *_read_first(),
                *_bands(),
                *[block for line in sheet.lines for block in _hazard(line)],
                paper_blocks.Signature(_("organiser")),
            ]
        ),
        footer=paper_blocks.Footer(
            owner=place.name,
            version=_("Risk assessment, printed %s") % date_format(printed_on, "j F Y"),
        ),
    )


def _read_first() -> list[paper_blocks.Block]:
    return [
        paper_blocks.Caution("warning", f"{AN_OPINION}", word=_("Read this first")),
        paper_blocks.Para(
            _(
                "It supports your judgement. It does not replace a competent person, "
                "your insurer or the law where you are. Follow local codes and "
                "people licensed for the work: where they are stricter, they win."
            )
        ),
    ]


def _bands() -> list[paper_blocks.Block]:
    rows = [
        [severity, *[f"{cell.product} {cell.band_words}" for cell in cells]]
        for severity, cells in band_table()
    ]
    heads = [f"{grade}, {words}" for grade, words in LIKELIHOOD_WORDS.items()]
    return [
        paper_blocks.Together(
            [
                paper_blocks.Heading(_("How the two grades are read")),
                paper_blocks.Table(
                    [_("Severity"), *heads], rows, widths=[3, 3, 3, 3, 3, 3]
                ),
                paper_blocks.Para(str(BAND_SOURCE)),
            ]
        ),
    ]


def _hazard(line: HazardLine) -> list[paper_blocks.Block]:
    hazard = line.hazard
    controls = [
        f"{one.get_kind_display().capitalize()}: {one.text}"
        for one in hazard.controls.all()
    ]
    # Two controls stay with what is before them; a page's end may part the others.
    begun, others = controls[:2] or [_("Nothing is written.")], controls[2:]
    head: list[paper_blocks.Block] = [
        paper_blocks.Heading(hazard.title),
        paper_blocks.Facts(_met(line)),
        paper_blocks.Para(_judged(line.before), lead=_("Without the controls:")),
    ]
    return [
        paper_blocks.Together(head),
        paper_blocks.Together(
            [
                paper_blocks.Para(_("What is done, the strongest first:")),
                paper_blocks.Bullets(begun),
            ]
        ),
        *([paper_blocks.Bullets(others)] if others else []),
        paper_blocks.Para(_after(line), lead=_("With the controls:")),
    ]


def _met(line: HazardLine) -> list[tuple[str, str]]:
    hazard = line.hazard
    pairs = [
        (_("Who may be hurt, and how"), hazard.harm),
        (_("Where"), hazard.where),
        (_("Where it matters"), line.met_at),
        (_("Sees to it"), hazard.controller or _nobody(line)),
        (_("Judged"), _judged_by(line)),
        (_("Look at it again on"), _review(line)),
    ]
    return [(label, value) for label, value in pairs if value]


def _nobody(line: HazardLine) -> str:
    return _("NOBODY IS NAMED YET, and it can kill") if line.lacks_name else ""


def _judged_by(line: HazardLine) -> str:
    hazard = line.hazard
    if hazard.assessed_at is None:
        return ""
    zone = hazard.demonstration.zone
    day = date_format(hazard.assessed_at.astimezone(zone), "j F Y")
    return f"{day}, {hazard.assessed_by}" if hazard.assessed_by else day


def _review(line: HazardLine) -> str:
    if line.hazard.review_on is None:
        return _("no day is set")
    day = date_format(line.hazard.review_on, "j F Y")
    return _("%s: that day is past") % day if line.is_overdue else day


def _judged(judgement: Judgement) -> str:
    return _("severity %(severity)s; likelihood %(likelihood)s: %(band)s.") % {
        "severity": judgement.severity_words,
        "likelihood": judgement.likelihood_words,
        "band": judgement.band_words,
    }


def _after(line: HazardLine) -> str:
    return " ".join([_judged(line.after), line.hazard.severity_reason]).strip()
