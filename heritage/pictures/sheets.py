"""The permission to show pictures, to be signed on paper."""

from datetime import date

from django.utils.translation import gettext as _

from heritage.common import sheets as paper
from heritage.kits.paper import blocks as paper_blocks
from heritage.people.agreements.selectors import Words
from heritage.season.models import Demonstration

LINE = "_" * 34
BOX = "[    ]"


def permission_sheet(
    demonstration: Demonstration,
    words: Words,
    *,
    child: bool,
    printed_on: date,
    large_print: bool,
) -> bytes:
    """Return the form of one adult, or of one child's parent or guardian."""
    adult = _("Permission for pictures"), _("To be signed by an adult, for themselves")
    guardian = (
        _("Permission for pictures of a child"),
        _("To be signed by a parent or guardian"),
    )
    title, subtitle = guardian if child else adult
    return paper.sheet(
        title=title,
        subtitle=subtitle,
        large_print=large_print,
        one_page=not large_print,
        blocks=[
            *_asked(child=child),
            *_agreed(words.text, child=child),
            _kept(),
        ],
        footer=paper_blocks.Footer(
            owner=demonstration.name,
            version=_("Words on pictures, version %(number)d. Printed %(day)s")
            % {"number": words.number, "day": f"{printed_on:%d %B %Y}".lstrip("0")},
        ),
    )


def _asked(*, child: bool) -> list[paper_blocks.Block]:
    """Ask who signs, and for which pictures."""
    return [
        paper_blocks.Para(_("Nobody has to sign this. Ask whatever you like first.")),
        paper_blocks.Ruled(
            [_("Who signs"), _("Please write here")],
            rows=[[label, ""] for label in _who(child=child)],
            widths=[3, 7],
        ),
        paper_blocks.Heading(_("Which pictures")),
        paper_blocks.Para(_("All pictures of this demonstration"), lead=BOX),
        paper_blocks.Para(_("Only these: %s") % LINE, lead=BOX),
    ]


def _who(*, child: bool) -> list[str]:
    if not child:
        return [_("My name"), _("How to reach me")]
    return [
        _("The child's name"),
        _("The child's age"),
        _("My name"),
        _("I am the child's"),
        _("How to reach me"),
    ]


def _agreed(text: str, *, child: bool) -> list[paper_blocks.Block]:
    """Print the words as they stand, so that paper and screen ask for the same."""
    before: list[paper_blocks.Block] = [paper_blocks.Heading(_("What I agree to"))]
    signs = _("the parent or guardian") if child else _("the person in the pictures")
    if child:
        before.append(
            paper_blocks.Para(
                _(
                    "I sign for the child named above: “I” and “my” mean the child. I "
                    "have asked the child, as far as they can understand it, and they "
                    "don't mind. A child's name is never put with a picture."
                )
            )
        )
    parts = [paper_blocks.Para(part) for part in text.split("\n\n")]
    return [*before, *parts, paper_blocks.Signature(signs)]


def _kept() -> paper_blocks.Block:
    return paper_blocks.Together(
        [
            paper_blocks.Heading(_("For the organiser")),
            paper_blocks.Para(
                _(
                    "Keep this paper where others can't read it. Then write it down: "
                    "for somebody on the list, on their own page, as signed on paper; "
                    "for anybody else, on the page of the picture."
                )
            ),
            paper_blocks.Para(LINE, lead=_("Kept in")),
        ]
    )
