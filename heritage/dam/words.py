"""What is said beside a ret's dates, in sentences."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.retting import RetWarning

RET_WARNINGS: Final[dict[RetWarning, str | Promise]] = {
    RetWarning.PAST_LIKELY: _(
        "The likely day has passed. A day too long weakens the fibre: test now, and "
        "again every %(test_every)d hours."
    ),
    RetWarning.ONCE_A_DAY_IS_TOO_FEW: _(
        "One look a day is too few from here on: the crop can pass its best between "
        "two evenings. Test every %(test_every)d hours."
    ),
    RetWarning.NO_DATE: _(
        "The water falls to %(coldest).0f °C. Below %(below).0f °C no date can be told."
    ),
    RetWarning.FAR_TOO_COLD: _(
        "The water falls to %(coldest).0f °C, far colder than any ret the curve was "
        "fitted to. Take the dates as a guess."
    ),
    RetWarning.COLD: _(
        "The water falls to %(coldest).0f °C. Below %(below).0f °C the curve is "
        "stretched, and the ret may take twice as long."
    ),
    RetWarning.TOO_HOT: _(
        "The water reaches %(warmest).0f °C: too hot for a good ret."
    ),
    RetWarning.NO_FASTER: _(
        "The water reaches %(warmest).0f °C. Above %(above).0f °C it is not taken to "
        "ret any faster."
    ),
    RetWarning.GAP: _(
        "For %(hours).0f hours there was no reading: the course between them is a "
        "guess."
    ),
    RetWarning.EVENINGS_ONLY: _(
        "Every reading was taken in the evening, when the water is warmest, so the ret "
        "looks further on than it is: by nearly a tenth where the water swings by 3 °C "
        "between night and day. Read it in the morning too."
    ),
    RetWarning.NO_OUTLOOK: _(
        "No forecast yet, so this assumes the water stays at %(temp_c).1f °C, the mean "
        "of the last day read."
    ),
}
