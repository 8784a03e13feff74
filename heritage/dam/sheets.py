"""The dam's printed log, to fill in by hand on the bank."""

from datetime import datetime, timedelta

from django.utils.translation import gettext as _

from heritage.briefings.sheets import stop_blocks
from heritage.common import sheets as paper
from heritage.dam.drawings import course
from heritage.dam.selectors import RetPage, RetState
from heritage.dam.words import CAUTIONS, TEST_STEPS
from heritage.kits.paper import blocks as paper_blocks

DAYS_ON_SHEET = 14
DAY = "%a %d %b"
# In large print the name of the day would break the line.
LARGE_DAY = "%d %b"
# As many days as leave room for notes on the same page.
LARGE_DAYS = 10
WIDTHS = (2.8, 2.2, 1.1, 3.0, 2.2, 1.1, 3.0)
LARGE_WIDTHS = (2.2, 2.2, 1.1, 3.3, 2.2, 1.1, 3.3)
MOMENT = "%a %d %b, %H:%M"


def log_sheet(page: RetPage, *, printed_at: datetime, large_print: bool) -> bytes:
    """Return the log of one ret as a PDF: what is expected, and rows to write in."""
    ret = page.state.ret
    demonstration = ret.dam.demonstration
    printed = printed_at.astimezone(demonstration.zone)
    return paper.sheet(
        title=_("Dam log: %s") % ret.dam.name,
        subtitle=_("Under water since %s")
        % f"{ret.began_at.astimezone(demonstration.zone):{MOMENT}}",
        large_print=large_print,
        blocks=[
            *caution_blocks(),
            paper_blocks.Heading(_("When to test")),
            *_expected(page.state),
            *_drawn(page),
            paper_blocks.Heading(_("How to test")),
            paper_blocks.Steps([f"{step} ({source})" for step, source in TEST_STEPS]),
            # A page of its own, so that it can be copied for the days after.
            paper_blocks.PageBreak(),
            *_to_write_in(printed, large_print=large_print),
        ],
        footer=paper_blocks.Footer(
            owner=demonstration.name,
            version=_("Printed %s") % f"{printed:%d %B %Y, %H:%M}",
        ),
    )


def caution_blocks() -> list[paper_blocks.Block]:
    """Return the dam's cautions and the rules for stopping, for the top of a sheet."""
    cautions = [
        paper_blocks.Caution(
            one.mark, str(one.text), word=str(one.heading).capitalize()
        )
        for one in CAUTIONS
    ]
    return [*cautions, *stop_blocks()]


def _expected(state: RetState) -> list[paper_blocks.Block]:
    if not (state.first_test and state.test_every):
        return [paper_blocks.Para(warning) for warning in state.warnings]
    return [
        paper_blocks.Facts(_dates(state, state.first_test)),
        paper_blocks.Para(
            _(
                "Estimates from the warmth of the water, right for about four batches "
                "in five. They say when to test. Only a test, and the person in "
                "charge, say when to lift."
            )
        ),
        paper_blocks.Bullets(list(state.warnings)),
    ]


def _drawn(page: RetPage) -> list[paper_blocks.Block]:
    """Return the ret's course as its page draws it, where a day can be told."""
    drawing = course(page)
    return [paper_blocks.Figure(drawing, width_mm=120)] if drawing else []


def _dates(state: RetState, first_test: datetime) -> list[tuple[str, str]]:
    zone = state.ret.dam.demonstration.zone
    pairs = [
        (_("First test"), f"{first_test.astimezone(zone):{MOMENT}}"),
        (_("Then test every"), _hours(state)),
    ]
    if state.early and state.likely and state.late:
        early, likely, late = (
            f"{moment.astimezone(zone):{DAY}}"
            for moment in (state.early, state.likely, state.late)
        )
        words = _("from %(early)s to %(late)s, likely about %(likely)s")
        days = {"early": early, "late": late, "likely": likely}
        pairs.append((_("Probably ready"), words % days))
    return pairs


def _hours(state: RetState) -> str:
    """Say how often to test, and how often once the water has gone still."""
    hours = {"now": state.hours_between_tests, "quiet": state.hours_once_quiet}
    if not state.tests_may_come_closer:
        return _("%(now)d hours, by daylight") % hours
    return (
        _(
            "%(now)d hours, by daylight; %(quiet)d once the bubbles have stopped or "
            "the flax sinks"
        )
        % hours
    )


def _to_write_in(printed: datetime, *, large_print: bool) -> list[paper_blocks.Block]:
    return [
        paper_blocks.Heading(_("Morning and evening")),
        paper_blocks.Para(
            _(
                "Never fewer than two people, and three to tread: one watches from the "
                "bank. Take the temperature halfway down, and write the time beside "
                "it: without the time we can't use the figure."
            )
        ),
        _rows(printed, large_print=large_print),
        paper_blocks.Lines(3, label=_("Notes")),
    ]


def _rows(printed: datetime, *, large_print: bool) -> paper_blocks.Ruled:
    shape = LARGE_DAY if large_print else DAY
    count = LARGE_DAYS if large_print else DAYS_ON_SHEET
    days = [printed + timedelta(days=day) for day in range(count)]
    return paper_blocks.Ruled(
        [
            _("Day"),
            _("Morning"),
            _("°C"),
            _("Trodden by; watched by"),
            _("Evening"),
            _("°C"),
            _("Trodden by; watched by"),
        ],
        [[f"{day:{shape}}", "", "", "", "", "", ""] for day in days],
        widths=LARGE_WIDTHS if large_print else WIDTHS,
    )
