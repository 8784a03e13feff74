"""Sentences for what the calculation says of a sowing and of when to pull."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.crop import PullAnchor, PullWarning, SowingNote

Words = str | Promise

SOWING_WORDS: Final[dict[SowingNote, Words]] = {
    SowingNote.THIN: _(
        "Thin: about %(value).0f seeds a square metre; %(low).0f to %(high).0f is "
        "usual. Thin flax branches, and weeds come up between."
    ),
    SowingNote.THICK: _(
        "Thick: about %(value).0f seeds a square metre; %(low).0f to %(high).0f is "
        "usual. Thick flax falls over easily, and may never ripen."
    ),
    SowingNote.SEED_WEIGHT: _(
        "A thousand seeds weigh %(value)g g? %(low)g to %(high)g g is usual. Please "
        "check the scales."
    ),
    SowingNote.DEEP: _(
        "Deep: %(value)g cm. %(low)g to %(high)g cm is usual; deeper seed comes up "
        "late, and some of it not at all."
    ),
    SowingNote.SHALLOW: _(
        "Shallow: %(value)g cm. %(low)g to %(high)g cm is usual; birds and drought "
        "take what lies on top."
    ),
    SowingNote.WIDE_ROWS: _(
        "Wide rows: %(value)g cm. %(low)g to %(high)g cm is usual; wider, and stems "
        "branch."
    ),
    SowingNote.SOON_AFTER_FLAX: _(
        "Flax grew here %(value)d years ago. %(low)d to %(high)d years between is "
        "usual, because of diseases in the soil."
    ),
    SowingNote.EARLY: _(
        "Sown %(days)d days before the usual weeks (20 March to 31 May): frost as it "
        "comes up can kill it."
    ),
    SowingNote.LATE: _(
        "Sown %(days)d days after the usual weeks (20 March to 31 May): it grows "
        "faster and shorter, and may be ready sooner than the estimate says."
    ),
}

ANCHOR_WORDS: Final[dict[PullAnchor, Words]] = {
    PullAnchor.SOWN: _("days since sowing"),
    PullAnchor.SOWN_HEAT: _("warmth since sowing"),
    PullAnchor.FLOWER_START: _("first flowers"),
    PullAnchor.FLOWER_HEAT: _("warmth since flower"),
    PullAnchor.FLOWER_FULL: _("full flower"),
    PullAnchor.FLOWER_END: _("flowers over"),
    PullAnchor.STEMS: _("yellow stems"),
    PullAnchor.LEAVES: _("fallen leaves"),
    PullAnchor.BOLLS: _("colour of bolls"),
}

PULL_WORDS: Final[dict[PullWarning, Words]] = {
    PullWarning.WARMTH_HELD: _(
        "For %(days)d days to come, we assume it stays as warm as the last fortnight."
    ),
    PullWarning.WARMTH_BROKEN: _(
        "The temperatures have a gap of more than three days, so warmth isn't counted."
    ),
    PullWarning.FLOWERS_OUT_OF_ORDER: _(
        "The days of flowering are out of order. Please check them."
    ),
    PullWarning.ODD_FLOWERING: _(
        "In flower %(days)d days after sowing; %(low)d to %(high)d is known. Please "
        "check both days."
    ),
    PullWarning.STILL_GREEN: _(
        "The stems were still green when the window had begun: it may be later."
    ),
    PullWarning.SEED_RIPE: _(
        "%(percent)d %% of the bolls have turned: the seed is ripe, and the best of "
        "the fibre is about two weeks past. Pull as soon as you can."
    ),
}
