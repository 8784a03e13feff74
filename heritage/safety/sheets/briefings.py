"""The printed safety briefing, with a table to sign."""

from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from heritage.kits import paper
from heritage.safety.selectors import BriefingSheet

# As many lines to sign as one page holds under its heading.
ROWS, LARGE_ROWS = 17, 12
PARTS = (
    ("in_charge", gettext_lazy("In charge")),
    ("stop_signal", gettext_lazy("Stop signal")),
    ("no_go", gettext_lazy("Nobody goes")),
    ("clothing", gettext_lazy("Wear")),
    ("not_for", gettext_lazy("Not for")),
    ("first_aid", gettext_lazy("First aid")),
    ("emergency", gettext_lazy("In an emergency")),
    ("assembly_point", gettext_lazy("Meeting point")),
    ("welfare", gettext_lazy("Water, shade, toilets")),
)


def briefing_sheet(
    sheet: BriefingSheet, *, printed_on: date, large_print: bool
) -> bytes:
    """Return a published briefing as a PDF."""
    words, place = sheet.words, sheet.demonstration
    published = sheet.published_at.astimezone(place.zone)
    return paper.sheet(
        title=_("Safety briefing: %s") % words["title"],
        subtitle=_("Version %(number)d, published %(day)s")
        % {"number": sheet.number, "day": f"{published:%d %B %Y}"},
        language="en-GB",
        large_print=large_print,
        blocks=[
            paper.Para(words["task"], lead=_("The work:")),
            *_parts(words),
            *_cautions(words),
            *_stopping(words),
            *_hazards(words),
            *_young_people(words),
            *_signing(sheet.number, LARGE_ROWS if large_print else ROWS),
        ],
        footer=paper.Footer(
            owner=place.name,
            version=_("Version %(number)d, printed %(day)s")
            % {"number": sheet.number, "day": f"{printed_on:%d %b %Y}"},
        ),
    )


def _parts(words: dict[str, Any]) -> list[paper.Block]:
    pairs = [(str(label), words[key]) for key, label in PARTS if words.get(key)]
    return [paper.Facts(pairs)] if pairs else []


def _cautions(words: dict[str, Any]) -> list[paper.Block]:
    found: list[paper.Block] = [
        paper.Caution(caution["mark"], caution["text"], word=caution["heading"])
        for caution in words.get("cautions", [])
    ]
    return [paper.Heading(_("Cautions")), *found] if found else []


def _stopping(words: dict[str, Any]) -> list[paper.Block]:
    rules = words.get("stop_rules", [])
    return [paper.Heading(_("When we stop")), paper.Bullets(rules)] if rules else []


def _hazards(words: dict[str, Any]) -> list[paper.Block]:
    blocks: list[paper.Block] = []
    for number, hazard in enumerate(words.get("hazards", [])):
        first = _("What can hurt you, and what we do about it")
        named = hazard["controller"]
        blocks.append(
            paper.Together(
                [
                    *([] if number else [paper.Heading(first)]),
                    paper.Heading(hazard["title"], level=2),
                    paper.Para(hazard["harm"]),
                    paper.Bullets(hazard["controls"]),
                    *([paper.Para(named, lead=_("Sees to it:"))] if named else []),
                ]
            )
        )
    return blocks


def _young_people(words: dict[str, Any]) -> list[paper.Block]:
    rules = words.get("young_people", [])
    if not rules:
        return []
    return [
        paper.Heading(_("Young people")),
        paper.Bullets(rules),
        paper.Para(
            _("These are for %s. Check that the right place is set.")
            % words.get("jurisdiction", "")
        ),
    ]


def _signing(number: int, rows: int) -> list[paper.Block]:
    return [
        paper.Para(
            _(
                "This sheet supports your judgement. It does not replace a competent "
                "person, your insurer or the law where you are; where they are "
                "stricter, they win."
            )
        ),
        paper.PageBreak(),
        paper.Heading(_("I have heard this briefing and will keep to it")),
        paper.Para(
            _(
                "Version %d. For a child the adult who answers for them signs. Whoever "
                "comes late hears it before they start."
            )
            % number
        ),
        paper.Ruled(
            [_("Name"), _("Signature"), _("Time")],
            blank_rows=rows,
            widths=[5, 5, 2],
        ),
        paper.Signature(_("who told it")),
    ]
