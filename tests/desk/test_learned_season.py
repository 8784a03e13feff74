"""Three rets of one slow dam, played out day by day through the services."""

import math
from collections import defaultdict
from datetime import timedelta
from decimal import Decimal

import numpy as np
import pytest
from django.test import TestCase

from heritage.calc.retting import rate
from heritage.dam import services
from heritage.dam.learning.services import add_look, judge
from heritage.dam.models import Finding, Foretold, Ret
from heritage.dam.readings.services import add_reading
from heritage.dam.selectors import ret_page
from heritage.desk.scores.selectors import scores_page
from heritage.desk.scores.services import note_rets
from tests.calc.strategies_rets import Batch
from tests.factories import NOW, make_dam, make_organiser

HOUR = timedelta(hours=1)
STEP = 8 * HOUR
# The dam is slower than the curve by a quarter, its batches by a little more or less.
SLOW, BATCHES = 0.25, (0.05, -0.05, 0.0)
# For a tenth of their length the fibre stays good.
GOOD_DAYS = 1.2
FOUND = {one.category: one for one in Finding if one.is_test}


class SlowDam:
    """What is truly so, and what people do about it."""

    def __init__(self, dam, by, chance):
        self.dam, self.by, self.chance, self.now = dam, by, chance, NOW
        self.here, self.percents = dam.demonstration, []

    def water(self):
        """Return the water now: its day's swing, the season's fall, some weather."""
        days = (self.now - NOW) / timedelta(days=1)
        hour = self.now.astimezone(self.here.zone).hour
        return 19.0 - 0.05 * days + 1.2 * math.cos((hour - 17) / 24 * 2 * math.pi)

    def play(self, own):
        """Fill, read, test when it is due, lift once the tests allow; say how it was.

        Return the days by which it was lifted too late, and what was learned.
        """
        batch = Batch(self.chance)
        batch.factor = math.exp(SLOW + own)
        ret = services.fill(
            dam=self.dam, began_at=self.now, beets=100, water_depth_m=Decimal("1.0"),
            beet_dry_kg=Decimal(3), now=self.now, why_more="Played out.", by=self.by,
        )  # fmt: skip
        behind = 0.0
        while True:
            state = self.look_after(ret, batch, behind)
            self.percents.append(state.percent)
            if state.learned.verdict.may:
                break
            behind += rate(self.water()) / 3
            self.now += STEP
        late = (behind - batch.factor) / rate(self.water())
        self.finish(ret, behind / batch.factor)
        return late, state.learned, ret

    def look_after(self, ret, batch, behind):
        said = {"ret": ret, "at": self.now, "by": self.by, "now": self.now}
        temp = Decimal(round(self.water(), 1)).quantize(Decimal("0.1"))
        add_reading(temp_c=temp, sure=True, **said)
        if not behind:
            note_rets(demonstration=self.here, now=self.now)
        state = self.state(ret)
        if behind and state.is_test_due:
            self.test(said, batch, behind)
            state = self.state(ret)
            note_rets(demonstration=self.here, now=self.now)
        return state

    def test(self, said, batch, behind):
        found = defaultdict(int)
        for sign in batch.look("core", behind, 5, tester="A"):
            found[FOUND[sign.category]] += sign.count
        add_look(found=found, **said)
        (bubbles,) = batch.look("bubbles", behind)
        seen = Finding.BUBBLES if bubbles.category == "rising" else Finding.STILL
        add_look(found={seen: 1}, **said)

    def state(self, ret):
        fresh = Ret.objects.select_related("dam__demonstration").get(pk=ret.pk)
        return ret_page(fresh, self.now).state

    def finish(self, ret, ripe):
        self.now += HOUR
        services.lift(ret=ret, lifted_at=self.now, now=self.now, by=self.by)
        verdict = "under" if ripe < 0.92 else "right" if ripe < 1.16 else "over"
        judge(ret=ret, verdict=verdict, after="lifting", by=self.by, now=self.now)
        self.now += 24 * HOUR
        gone = {"went": "spread", "leave": "Played out", "went_at": self.now}
        services.let_water_go(ret=ret, now=self.now, **gone)
        services.make_clean(ret=ret, clean_at=self.now, now=self.now)
        self.now += 24 * HOUR


@pytest.mark.any_database
class SeasonOfRetsTests(TestCase):
    def test_a_slow_dam_is_found_out_and_its_next_rets_go_by_it(self):
        dam = make_dam()
        by = make_organiser(demonstration=dam.demonstration).user
        season = SlowDam(dam, by, np.random.default_rng(12))
        told = [season.play(own) for own in BATCHES]
        late = [days for days, _learned, _ret in told]
        good = [-0.5 <= days <= GOOD_DAYS + 0.5 for days in late]
        assert sum(good) >= 2, "one in ten or so is expected to be early or late"
        assert max(map(abs, late)) < 3
        assert max(season.percents) <= 100
        starts = [(one.factor.mean, one.factor.sd) for _days, one, _ret in told]
        assert starts[0] == (0.0, pytest.approx(0.30, abs=0.01))
        assert 0.03 < starts[1][0] < starts[2][0] < SLOW
        assert starts[0][1] > starts[1][1] > starts[2][1]
        assert told[2][1].past_words.startswith("The last 2 rets of this dam: likely")
        first = [
            Foretold.objects.filter(ret=ret).order_by("said_on")[0]
            for _days, _learned, ret in told
        ]
        off = [abs(row.ret.lifted_at - row.likely) for row in first]
        assert off[2] < off[0], "the third is foretold better than the first"
        page = scores_page(dam.demonstration)
        assert page.inside >= 0.5 * page.told
        assert len(page.lines) == 3
