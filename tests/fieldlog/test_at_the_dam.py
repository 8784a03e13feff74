"""What a phone says of the dam: stones moved, and who trod a turn."""

from datetime import timedelta

from heritage.dam.models import StoneMove, TreaderState, Treading
from heritage.fieldlog.selectors import field_state
from tests.factories import (
    NOW,
    make_dam,
    make_ret,
    make_rota_plan,
    make_stone,
    make_treader,
    make_treading,
    make_volunteer,
)
from tests.fieldlog.test_services import Evening

HOUR = timedelta(hours=1)


class AtTheDam(Evening):
    def setUp(self):
        self.flax = make_ret(dam=make_dam(demonstration=self.demonstration))


class StoneTests(AtTheDam):
    def test_stones_are_written_down_for_the_time_they_were_tapped(self):
        stone = make_stone(demonstration=self.demonstration, weight_kg=6)
        said = {"ret": self.flax.pk, "stone": stone.pk, "how_many": 4}
        receipt = self.kept("stones", way="on", at=NOW - HOUR / 4, **said)
        move = StoneMove.objects.get()
        assert (move.stone, move.how_many, move.at) == (stone, 4, NOW - HOUR / 4)
        assert "4 stones put on, 24.0 kg" in receipt.words
        self.refused("By the book 4", "stones", way="off", **said | {"how_many": 5})

    def test_without_a_list_they_are_of_the_usual_weight(self):
        ret = self.flax
        self.kept("stones", ret=ret.pk, way="on", stone="", how_many=2)
        assert StoneMove.objects.get().each_kg == ret.dam.stone_kg

    def test_what_makes_no_sense_is_refused(self):
        said = {"ret": self.flax.pk, "how_many": 2}
        self.refused("put on or taken off", "stones", way="up", **said)
        elsewhere = make_stone().pk
        self.refused(
            "no longer on the list", "stones", way="on", stone=elsewhere, **said
        )


class TreadingTests(AtTheDam):
    def setUp(self):
        super().setUp()
        self.plan = make_rota_plan(ret=self.flax)
        at = NOW - HOUR
        self.turn = make_treading(plan=self.plan, at=at, day=at.date())
        self.bea, self.cal = (
            make_volunteer(demonstration=self.demonstration, name=name)
            for name in ("Bea", "Cal")
        )
        make_treader(turn=self.turn, volunteer=self.ann, state=TreaderState.ON)

    def trod(self, *people, watcher=None, **said):
        said |= {"people": [str(one.pk) for one in people], "turn": self.turn.pk}
        return said | {"watcher": str(watcher.pk) if watcher else ""}

    def test_who_trod_and_who_watched_is_written_down(self):
        said = self.trod(self.ann, self.bea, watcher=self.cal)
        self.kept("trod", at=NOW - HOUR / 4, **said)
        turn = Treading.objects.get(pk=self.turn.pk)
        assert turn.trodden_at == NOW - HOUR / 4
        assert {row.volunteer for row in turn.treaders.filter(trod=True)} == {
            self.ann,
            self.bea,
        }
        assert turn.treaders.get(watches=True).volunteer == self.cal
        self.refused("already said who trod that turn", "trod", **said)

    def test_alone_or_unwatched_asks_for_the_reason_which_mends_it(self):
        said = self.trod(self.ann, self.bea)
        self.refused("Choose who watched", "trod", **said)
        self.kept("trod", **said, why_alone="Cal was called away.")
        assert Treading.objects.get(pk=self.turn.pk).why_alone

    def test_tapped_long_after_it_counts_for_its_own_time(self):
        """A morning's turn that is ticked in the evening of the next day."""
        Treading.objects.filter(pk=self.turn.pk).update(
            at=NOW - 20 * HOUR, day=(NOW - 20 * HOUR).date()
        )
        self.kept("trod", **self.trod(self.ann, self.bea, watcher=self.cal))
        assert Treading.objects.get(pk=self.turn.pk).trodden_at == NOW - 20 * HOUR

    def test_a_turn_of_elsewhere_is_none_of_ours(self):
        said = self.trod(self.ann) | {"turn": make_treading().pk}
        self.refused("belongs to another", "trod", **said)

    def test_a_phone_is_offered_the_turns_about_now_with_their_people(self):
        make_treading(plan=self.plan, at=NOW + 30 * HOUR, day=(NOW + 30 * HOUR).date())
        make_treader(turn=self.turn, volunteer=self.bea, state=TreaderState.CANNOT)
        turns = field_state(self.gathering, NOW).turns
        assert list(turns) == [self.turn]
        assert [row.volunteer for row in turns[self.turn]] == [self.ann]
