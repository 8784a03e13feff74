"""The trade's words, and what each means: the one place that says so.

A word that means nothing else opens by itself where a page first says it, in each of
its forms (`FORMS`); one that everybody uses otherwise (a line, a lot, a test) opens
where a template asks for it.
"""

from collections.abc import Mapping
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

# By the word's code: as it is written, and what it means.
MEANINGS: Final[Mapping[str, tuple[Promise, Promise]]] = {
    "beet": (_("beet"), _("A sheaf of pulled flax, tied with a band.")),
    "boll": (_("boll"), _("The round seed pod of flax.")),
    "breaking": (
        _("breaking"),
        _("Cracking the dry stems so that the wood falls out."),
    ),
    "crew": (_("crew"), _("People who pull together and share their beets.")),
    "dam": (_("dam"), _("A pond in which flax is retted.")),
    "gait": (_("gaiting"), _("Standing flax up in loose cones to dry.")),
    "hackling": (_("hackling"), _("Combing fibre through pins into line and tow.")),
    "lea": (
        _("lea"),
        _("How fine a yarn is: so many lengths of 300 yards to the pound."),
    ),
    "line": (_("line"), _("The long, combed fibre.")),
    "liquor": (_("liquor"), _("The water in which flax has retted. It harms fish.")),
    "lodged": (_("lodged"), _("Blown or beaten flat.")),
    "lot": (_("lot"), _("Flax that was pulled together and is kept together.")),
    "steep": (_("steep"), _("To lay flax in water until the fibre is free.")),
    "retting": (_("retting"), _("Rotting in water or dew, which frees the fibre.")),
    "ret": (_("ret"), _("One filling of a dam, until the flax is out.")),
    "ripple": (_("rippling"), _("Combing the seed bolls off the stems.")),
    "scutching": (_("scutching"), _("Beating broken stems until the wood is gone.")),
    "shive": (_("shive"), _("The broken bits of wood from inside the stem.")),
    "grassing": (_("grassing"), _("Spreading retted flax on grass to dry.")),
    "stooking": (_("stooking"), _("Setting beets up together to dry.")),
    "stook": (_("stook"), _("Beets set up together to dry.")),
    "strick": (_("strick"), _("A handful of combed fibre, twisted once to keep.")),
    "tally": (_("tally"), _("The count of beets.")),
    "test": (_("test"), _("Trying whether the wood draws out of the stems.")),
    "token": (
        _("token pay"),
        _("What the work would have earned in the old days. It is not a wage."),
    ),
    "tow": (_("tow"), _("The short fibre that is combed out.")),
    "treading": (_("treading"), _("Pressing the flax down in the dam by foot.")),
}

# How a page may say a word that opens by itself, with commas between.
FORMS: Final[Mapping[str, Promise]] = {
    "beet": _("beet, beets"),
    "boll": _("boll, bolls"),
    "breaking": _("breaking"),
    "dam": _("dam, dams"),
    "gait": _("gait, gaiting, gaited"),
    "grassing": _("grassing"),
    "hackling": _("hackling, hackle, hackled"),
    "liquor": _("liquor"),
    "ret": _("ret, rets"),
    "retting": _("retting, retted"),
    "ripple": _("rippling, ripple, rippled"),
    "scutching": _("scutching, scutch, scutched"),
    "shive": _("shive, shives"),
    "steep": _("steep, steeping, steeped"),
    "stook": _("stook, stooks"),
    "stooking": _("stooking, stooked"),
    "strick": _("strick, stricks"),
    "treading": _("treading"),
}
