"""What the prompt on reporting answers, and why, in sentences."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.risk import Reporting, WhyReport

ANSWERS: Final[dict[Reporting, str | Promise]] = {
    Reporting.LIKELY: _("You probably have to report this"),
    Reporting.NOTHING_FOUND: _("Nothing here means you have to report it"),
    Reporting.ASK: _("We can't tell from what is known: find out, or ask"),
}
WHY: Final[dict[WhyReport, str | Promise]] = {
    WhyReport.DIED_AT_WORK: _(
        "It had to do with work run by an employer or a business, and somebody died."
    ),
    WhyReport.TREATED_IN_HOSPITAL: _(
        "It had to do with work run by an employer or a business, and the injured "
        "person was taken straight to hospital and treated."
    ),
    WhyReport.REPORT_NOW: _("Report it without delay by the official route."),
    WhyReport.OTHER_RULES: _("Other rules apply here. Ask the local safety authority."),
    WhyReport.EMPLOYEE: _(
        "For employees the rules go further. Check the official pages."
    ),
    WhyReport.NOT_THE_WORK: _("Neither the work nor its place had a part in it."),
    WhyReport.NO_EMPLOYER: _(
        "Nobody with employees or in business ran the work or the place."
    ),
    WhyReport.PUBLIC_ROAD: _(
        "It happened on a public road, which these rules mostly leave out."
    ),
    WhyReport.NOT_IN_HOSPITAL: _(
        "Nobody was taken straight to hospital and treated. Days off don't count for "
        "volunteers and visitors."
    ),
    WhyReport.FIND_OUT_WORK: _(
        "Find out whether the work, its machines or its place had a part in it."
    ),
    WhyReport.FIND_OUT_EMPLOYER: _(
        "Find out whether an employer or a business ran the work or the place."
    ),
    WhyReport.FIND_OUT_ROAD: _("Find out whether it happened on a public road."),
    WhyReport.FIND_OUT_HOSPITAL: _(
        "Find out whether they were taken straight to hospital and treated."
    ),
    WhyReport.FIND_OUT_DEATH: _("Find out whether somebody died."),
}
