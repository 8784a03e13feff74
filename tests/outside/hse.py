"""Cases of hurt volunteers that the HSE has published, with its answers."""

from heritage.calc.risk import Reporting

# HSE's published cases, none of them fatal: whether the work had a part in it, whether
# an employer ran it, whether it was on a public road, whether hospital treated them.
HSE_CASES = {
    "a charity shop's volunteer hurts her back, is off a week": (
        (True, True, False, False),
        Reporting.NOTHING_FOUND,
    ),
    "a volunteer rider is hurt on a public road": (
        (True, True, True, True),
        Reporting.NOTHING_FOUND,
    ),
    "a litter-picker of a group with no employees sprains an ankle": (
        (True, False, False, True),
        Reporting.NOTHING_FOUND,
    ),
    "a volunteer on a farm loses a finger in machinery": (
        (True, True, False, True),
        Reporting.LIKELY,
    ),
    # The published text is cut off; its yes is clear.
    "at a charity's event a falling object breaks a foot": (
        (True, True, False, True),
        Reporting.LIKELY,
    ),
}
