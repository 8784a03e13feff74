"""What stands behind each figure, in words: its name, its rule, inputs and sources."""

from collections.abc import Mapping
from typing import Final

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from heritage.calc.figures import Figure, Source, Sure, Unit

# What a figure is called, and how it is worked out.
WORDS: Final[Mapping[Figure, tuple[Promise, Promise]]] = {
    Figure.LIGHT: (
        _("the light"),
        _(
            "Sunset is worked out from where the field is. Work by hand stops when it "
            "gets too dark to see well, with some minutes to spare. Hills and cloud "
            "make it darker sooner."
        ),
    ),
    Figure.CALL: (
        _("the advice"),
        _(
            "Each reading is compared with its limit, and the worst one decides. After "
            "thunder: 30 minutes' wait. A needed reading that is missing means wait "
            "and see. The limits are our choice."
        ),
    ),
    Figure.STAND: (
        _("beets in the field"),
        _(
            "To begin with, from the area: 30 to 100 stooks of twelve to the acre, "
            "likely 51. Once pieces are pulled or counted, we go by their beets to the "
            "square metre, which works if they come from all over the plot."
        ),
    ),
    Figure.PACE: (
        _("the pace"),
        _(
            "A practised adult's pace from four old accounts, and how much slower "
            "beginners were. After your first evening your own figures count."
        ),
    ),
    Figure.FINISH: (
        _("when it is done"),
        _(
            "Evening after evening, people times pace times light, with the chance "
            "that it is dry. The likely day is where an even chance is passed."
        ),
    ),
    Figure.HARVEST: (
        _("the plan"),
        _(
            "As for when the field is done, with the carts, the room in the dams and "
            "the days the crop is fit to pull. The range goes from everything at its "
            "worst to everything at its best."
        ),
    ),
    Figure.PULL: (
        _("when to pull"),
        _(
            "Days and warmth since sowing and since flower, and what was seen of "
            "stems, leaves and bolls, weighed together: the surer sign counts more."
        ),
    ),
    Figure.SEED: (
        _("the seed"),
        _("How many seeds a square metre needs, how many are lost, what one weighs."),
    ),
    Figure.CAPACITY: (
        _("what it holds"),
        _(
            "Its volume, divided by the water that a kilogram of flax needs and by the "
            "weight of a beet. The range is our judgement."
        ),
    ),
    Figure.STONES: (
        _("the stones"),
        _(
            "What a tonne of flax lifts at each stage of the ret, divided by what a "
            "stone weighs under water. The range is our judgement: we found no "
            "published weight. Watch the flax, not the sum."
        ),
    ),
    Figure.RET: (
        _("the ret's dates"),
        _(
            "A warm day in the water counts for more than a cold one, up to the total "
            "that flax needed elsewhere. Your tests and past rets then move it. Never "
            "lift by a date."
        ),
    ),
    Figure.ROTA: (
        _("the rota"),
        _(
            "Of all the ways to fill the turns, the one that fills most and shares "
            "them most evenly. Two tread, a third watches, and each has rest days."
        ),
    ),
    Figure.FILLING: (
        _("the filling"),
        _(
            "A load is placed once it has come and the one before it is placed. Each "
            "load you tick narrows the pace to your own."
        ),
    ),
    Figure.SUPPLY: (
        _("water in and out"),
        _(
            "The flow is the bucket over the seconds. The leak is the fall of the "
            "water, with rain added and evaporation taken off."
        ),
    ),
    Figure.WET_LIFT: (
        _("what the lift takes"),
        _(
            "We found no published weight of a wet beet: ours is worked out from the "
            "room between its stems. 15 to 60 come out in one person's hour. The "
            "weights are a rough check, not safe limits; we give none for a lift in "
            "the dam."
        ),
    ),
    Figure.LIFT: (
        _("the lift"),
        _(
            "Checked against the two lowest figures, for anybody. Two people lift two "
            "thirds of what each could alone, added up; three, half. It's a rough "
            "check, not a safe limit: anybody may refuse."
        ),
    ),
    Figure.PAY: (
        _("token pay"),
        _("Whole stooks times the rate; what's over by this place's own rule."),
    ),
    Figure.SHARES: (
        _("the shares"),
        _(
            "By the hours each was there, in whole beets. What is left over goes to "
            "whoever was nearest to the next beet."
        ),
    ),
    Figure.ASSIGN: (
        _("the suggestion"),
        _(
            "Of all the ways to move people who said they would, the one that fills "
            "most stations with fewest moves. Nobody passes the waiting list."
        ),
    ),
    Figure.GRASS_AREA: (
        _("the grass"),
        _(
            "We found no printed area: 2.5 m² for each kilogram of dry crop (1.7 to "
            "5), in rows that overlap by 8 cm. What you pace out replaces it."
        ),
    ),
    Figure.GRASS_DAYS: (
        _("days on the grass"),
        _(
            "6 to 8 days if it is showery, 10 to 12 if it is dry, turned two or three "
            "times: about every fourth day, before rain, not in strong wind. Only a "
            "test tells."
        ),
    ),
    Figure.DEW: (
        _("retting by dew"),
        _(
            "28 days at 18 °C with dew or rain on most, half as long for 10 °C more; a "
            "dry day counts a quarter. It may be ready from 0.6 to 2 times that. Only "
            "a test tells."
        ),
    ),
    Figure.DRY: (
        _("how dry it is"),
        _(
            "Stack at 15 % water or less, never damper: it is the strictest limit read "
            "for hay and straw. Break at about 12 % (8 to 14), which is from memory."
        ),
    ),
    Figure.WORKED: (
        _("what to expect"),
        _(
            "What printed accounts and a workshop got from each kilogram, and what "
            "went in and out here."
        ),
    ),
    Figure.ACCOUNT: (
        _("the account"),
        _(
            "What beginners may keep at each step by hand: 10 % of retted straw as "
            "scutched fibre (8 to 12), half of that as line (40 to 60 %). What you "
            "weigh replaces it."
        ),
    ),
    Figure.YARN: (
        _("yarn and cloth"),
        _(
            "90 % of line (85 to 95) and 80 % of tow (60 to 90) end in yarn, 95 % of "
            "yarn (90 to 98) in cloth; 120 m an hour at a wheel (60 to 250). Lea to "
            "tex is exact."
        ),
    ),
    Figure.SITE: (
        _("how many it holds"),
        _(
            "Two to a square metre, or as many as leave by the ways out without the "
            "largest one: the lower counts."
        ),
    ),
    Figure.SCORES: (
        _("how near it was"),
        _(
            "How far off each forecast was, its doubt counted too, over all the days "
            "it was said. A narrow range around the right day is best."
        ),
    ),
}

INPUTS: Final[Mapping[str, Promise]] = {
    "area": _("Area"),
    "beet_kg": _("A beet, dry"),
    "beets": _("Beets"),
    "beets_per_stook": _("A stook"),
    "began_at": _("Filled"),
    "canopy_wet_mm": _("Water on the crop"),
    "day": _("Day"),
    "day_in": _("Days under water"),
    "evenings": _("Evenings ahead"),
    "flash_to_bang_s": _("Flash to bang"),
    "flow": _("The supply"),
    "latitude": _("Latitude"),
    "left": _("Still to pull"),
    "light_hours": _("Light left"),
    "loads": _("Loads so far"),
    "lodged_percent": _("Lies flat"),
    "longitude": _("Longitude"),
    "margin": _("Stop before dark"),
    "minutes": _("Minutes to leave"),
    "minutes_since_thunder": _("Since the last thunder"),
    "pace": _("One person pulls"),
    "part_stooks": _("Part stooks"),
    "people": _("People"),
    "rain_mm_per_h": _("Rain"),
    "relative_humidity": _("Humidity"),
    "seen_on": _("Last looked at"),
    "signs": _("Signs weighed"),
    "skyline": _("Hills in the way"),
    "sown_on": _("Sown"),
    "spread_at": _("Spread"),
    "stone_kg": _("A stone"),
    "temp_c": _("Air"),
    "tex": _("Yarn"),
    "turns": _("Turns"),
    "unknown_days": _("Days with no whole reading, counted as dry"),
    "volume": _("Water"),
    "water_c": _("The water last"),
    "weight": _("Weight"),
    "wind_ms": _("Wind"),
}

UNITS: Final[Mapping[Unit, Promise]] = {
    Unit.BEETS: _("%s beets"),
    Unit.BEETS_PER_HOUR: _("%s beets an hour"),
    Unit.C: _("%s °C"),
    Unit.CUBIC_M: _("%s m³"),
    Unit.DEGREES: _("%s°"),
    Unit.HOURS: _("%s hours"),
    Unit.KG: _("%s kg"),
    Unit.LPS: _("%s L/s"),
    Unit.MINUTES: _("%s minutes"),
    Unit.MM: _("%s mm"),
    Unit.MM_PER_H: _("%s mm an hour"),
    Unit.MS: _("%s m/s"),
    Unit.PERCENT: _("%s %%"),
    Unit.SECONDS: _("%s seconds"),
    Unit.SQUARE_M: _("%s m²"),
    Unit.TEX: _("%s tex"),
}

SURE: Final[Mapping[Sure, Promise]] = {
    Sure.EXACT: _("Exact: it follows from the rule."),
    Sure.CHECKED: _("Checked against sums made elsewhere."),
    Sure.COUNTED: _("From your own records."),
    Sure.PRINTED: _("From print; yours may differ."),
    Sure.JUDGED: _("Partly our own judgement, so it comes with a range."),
    Sure.REMEMBERED: _("Partly from memory, not confirmed."),
}

SOURCES: Final[Mapping[Source, Promise]] = {
    Source.AGRICULTURIST: _("American Agriculturist, 7 December 1853"),
    Source.ALMANAC: _("HM Nautical Almanac Office, Information Sheet 7 (1996)"),
    Source.ARVALIS: _("ARVALIS, July 2021"),
    Source.BIRGE: _("Birge, Physical Review 40 (1932), from memory"),
    Source.CHESSON: _("Chesson (1978)"),
    Source.CUSTOM: _("common practice, without a printed source"),
    Source.DODGE: _("Dodge, USDA (1898)"),
    Source.FLAX_SOCIETY: _("the Flax Society's directions"),
    Source.GABRIEL: _("Gabriel and Neumann (1962)"),
    Source.GNIS: _("GNIS"),
    Source.GREEN_GUIDE: _("councils' guidance, quoting the Green Guide"),
    Source.HANSARD: _("Hansard, 3 March 1921"),
    Source.HEAT_INDEX: _("US Weather Prediction Center's heat index"),
    Source.HODGES: _("Hodges, Encyclopaedia Britannica, 9th edition"),
    Source.HOLDING: _("HSG195 (withdrawn)"),
    Source.HSE_FILTER: _("HSE, INDG143 (2020)"),
    Source.HSE_TEAMS: _("HSE, L23 (2016)"),
    Source.ISO_OVEN: _("ISO 18134-1"),
    Source.JOHNSON: _("Johnson (1954)"),
    Source.KUHN: _("Kuhn (1955)"),
    Source.LARGEST_REMAINDERS: _("method of largest remainders (Hamilton's)"),
    Source.MATHESON: _("Matheson and Winkler (1976)"),
    Source.NIOSH: _("NIOSH 94-110, as corrected in 2021"),
    Source.NORTHERN_IRELAND_FIRE: _("Northern Ireland Fire & Rescue, 2021"),
    Source.OWN: _("our own rule"),
    Source.PADRON: _("Padrón and others (2025)"),
    Source.PONDAGE: _("the pondage test of Irrigation Australia"),
    Source.PRISMOID: _("prismoidal formula"),
    Source.RAIN_CLASSES: _("Met Office rain classes"),
    Source.RATIO: _("ratio estimator of sample surveys"),
    Source.RIBE: _("Ribe, and old accounts of a day's work"),
    Source.SCHOOLS: _("the Schools' Collection, duchas.ie"),
    Source.SOLVER: _("HiGHS, a solver of mixed-integer programs"),
    Source.SPON: _("Spon's Encyclopaedia"),
    Source.THUNDER: _("Environment Canada's 30/30 rule"),
    Source.VIRGINIA: _("Virginia (2017)"),
    Source.WIND_CHILL: _("Environment Canada's chart of 2001"),
}
