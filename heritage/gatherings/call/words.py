"""What the figures say of a call, in sentences."""

from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.weather import CallReason

CALL_WORDS: Final[dict[CallReason, str | Promise]] = {
    CallReason.NO_RAIN: _(
        "No rain; doubtful from %(doubtful)g and off from %(off)g mm/h."
    ),
    CallReason.SLIGHT_RAIN: _(
        "Slight rain, %(mm_per_h)g mm/h; doubtful from %(doubtful)g and off from "
        "%(off)g mm/h."
    ),
    CallReason.MODERATE_RAIN: _(
        "Moderate rain, %(mm_per_h)g mm/h; doubtful from %(doubtful)g and off from "
        "%(off)g mm/h."
    ),
    CallReason.HEAVY_RAIN: _(
        "Heavy rain, %(mm_per_h)g mm/h; doubtful from %(doubtful)g and off from "
        "%(off)g mm/h."
    ),
    CallReason.WIND: _(
        "Wind of force %(force)d (%(wind_ms).0f m/s); doubtful from %(doubtful)g and "
        "off from %(off)g."
    ),
    CallReason.THUNDER: _(
        "Thunder was heard %(minutes)d minutes ago: stay in cover for another "
        "%(wait)d minutes at least."
    ),
    CallReason.NO_THUNDER: _("No thunder for %(minutes)d minutes."),
    CallReason.LIGHTNING_NEAR: _(
        "Thunder follows lightning by %(gap)g s, and %(near)g s or less is near: stop "
        "and take cover. Stay there until %(wait)g minutes after the last thunder."
    ),
    CallReason.LIGHTNING_FAR: _(
        "Thunder follows lightning by %(gap)g s: keep watch, and take cover at "
        "%(near)g s."
    ),
    CallReason.LIGHT: _(
        "%(hours).1f h of light to work by; less than %(fewest)g h is too little."
    ),
    CallReason.LIGHT_AFTER_THUNDER: _(
        "%(hours).1f h of light to work by after the wait for thunder; less than "
        "%(fewest)g h is too little."
    ),
    CallReason.COLD: _(
        "It feels like %(felt_c).1f °C, below %(below)g °C: too cold to stand about "
        "for long."
    ),
    CallReason.HEAT: _(
        "It feels like %(felt_c).1f °C in the shade; doubtful from %(doubtful)g and "
        "off from %(off)g °C."
    ),
    CallReason.BEYOND_THE_CHART: _(
        "%(temp_c).1f °C at %(humidity).0f %% humidity is hotter than any chart goes: "
        "too hot to be out in."
    ),
    CallReason.WATER_ON_CROP: _(
        "The crop carries %(water_mm).1f mm of water; wet from %(wet)g mm."
    ),
    CallReason.DEW: _(
        "At %(humidity).0f %% humidity the crop is most likely wet with dew."
    ),
    CallReason.GREEN_CROP: _("The crop is not ready to pull yet."),
    CallReason.SOFT_GROUND: _(
        "The ground is soft: keep carts and tractors off, or wait."
    ),
    CallReason.LODGED: _(
        "About %(percent).0f %% of the crop has fallen over: pull that first, by hand, "
        "and keep it apart."
    ),
    CallReason.RAIN_UNKNOWN: _("No rain reading was given."),
    CallReason.WIND_UNKNOWN: _("No wind reading was given."),
    CallReason.TEMPERATURE_UNKNOWN: _("No temperature reading was given."),
    CallReason.HUMIDITY_UNKNOWN: _("No humidity reading was given."),
    CallReason.THUNDER_UNKNOWN: _("Nothing was said about thunder."),
    CallReason.LIGHT_UNKNOWN: _("No light window was given."),
    CallReason.WETNESS_UNKNOWN: _("Nobody has said how wet the crop is."),
}
