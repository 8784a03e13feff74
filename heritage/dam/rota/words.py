"""Why a turn of the treading stays empty, in sentences."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.rota import WhyUnfilled

WHY_UNFILLED: Final[dict[WhyUnfilled, str | Promise]] = {
    WhyUnfilled.TOO_FEW: _("It takes %(takes)d people, and %(could)d could come."),
    WhyUnfilled.NOBODY_EXPERIENCED: _("Nobody who has done it before could come."),
    WhyUnfilled.TOO_MANY_PROMISED: _(
        "It takes %(takes)d people, and %(promised)d are promised."
    ),
    WhyUnfilled.REST_AND_LIMITS: _(
        "Enough people could come, but their rest days, limits and promises leave too "
        "few."
    ),
}
