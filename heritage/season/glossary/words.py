"""The trade's words, and what each means: the one place that says so."""

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
