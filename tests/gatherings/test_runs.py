"""Runs of evenings: shown, posted in one go, changed together, ended."""

from datetime import UTC, date, datetime, time, timedelta

import pytest
from django.core import mail
from django.core.exceptions import ValidationError
from django.db import IntegrityError, transaction

from heritage.gatherings.call import services as call_services
from heritage.gatherings.ground import selectors as ground_selectors
from heritage.gatherings.models import (
    Call,
    Gathering,
    GatheringStatus,
    Run,
    SignUp,
    SignUpStatus,
    StationKind,
)
from heritage.gatherings.runs import selectors, services
from heritage.gatherings.runs.selectors import RunPlan
from tests.factories import (
    NOW,
    make_briefing,
    make_competence,
    make_demonstration,
    make_gathering,
    make_hazard,
    make_plot,
    make_run,
    make_sign_up,
    make_skill,
    make_station,
    make_volunteer,
)
from tests.gatherings.evening import EveningCase
from tests.gatherings.test_services_posting import details, plan

TIMES = ("starts_at", "ends_at")


def run_plan(**changes):
    """Give Monday to Friday from the 17th to the 28th of August: ten evenings."""
    return RunPlan(
        **{
            "weekdays": (0, 1, 2, 3, 4),
            "first_day": date(2026, 8, 17),
            "last_day": date(2026, 8, 28),
            "starts": time(18, 30),
            "ends": time(20, 15),
        }
        | changes
    )


class RunCase(EveningCase):
    def post(self, *stations, days=None, knowing=(), as_draft=False, of=None, **said):
        of = of or run_plan()
        return services.post_run(
            demonstration=self.demonstration,
            plan=of,
            details={k: v for k, v in details(**said).items() if k not in TIMES},
            stations=stations or [plan(places=2), plan(kind="tie", title="Tie")],
            days=of.days if days is None else days,
            by=self.nora.user,
            now=NOW,
            knowing=knowing,
            as_draft=as_draft,
        )

    def evenings(self, of=None, works=()):
        return selectors.evenings(self.demonstration, of or run_plan(), NOW, works)


class EveningsTests(RunCase):
    def test_the_clocks_of_the_place_are_kept_across_the_change(self):
        """Summer time ends on 25 October 2026 in London: 18:30 is 17:30, then 18:30."""
        of = run_plan(
            weekdays=(4, 0), first_day=date(2026, 10, 23), last_day=date(2026, 10, 26)
        )
        found = [one.starts_at for one in self.evenings(of)]
        assert found == [
            datetime(2026, 10, 23, 17, 30, tzinfo=UTC),
            datetime(2026, 10, 26, 18, 30, tzinfo=UTC),
        ]

    def test_a_time_the_clocks_strike_twice_cannot_be_posted(self):
        of = run_plan(
            weekdays=(6,), first_day=date(2026, 10, 25), last_day=date(2026, 10, 25),
            starts=time(1, 30), ends=time(3),
        )  # fmt: skip
        (one,) = self.evenings(of)
        assert "comes twice" in one.trouble
        assert (one.key, one.is_offered, one.is_dark) == ("2026-10-25", False, False)

    def test_an_evening_that_goes_dark_is_told_when_to_end(self):
        (one,) = self.evenings(self.one_day(ends=time(22)))
        assert one.lit_until < one.ends_at
        assert one.lit_until.minute % 5 == 0
        assert one.lit_until <= one.light.stop
        assert one.light.stop - one.lit_until < timedelta(minutes=5)
        assert one.is_offered
        assert not one.is_dark

    def one_day(self, **changes):
        day = {"first_day": date(2026, 8, 17), "last_day": date(2026, 8, 17)}
        return run_plan(**day | changes)

    def test_ended_by_its_light_it_does_not_go_dark(self):
        (late,) = self.evenings(self.one_day(ends=time(22)))
        (lit,) = self.evenings(self.one_day(ends=time(22), by_light=True))
        assert (lit.ends_at, lit.lit_until) == (late.lit_until, None)
        (early,) = self.evenings(self.one_day(by_light=True))
        assert early.lit_until is None
        assert f"{early.ends_at:%H:%M}" == "19:15"

    def test_machines_and_water_end_by_sunset(self):
        of = self.one_day(ends=time(22))
        (hand,) = self.evenings(of)
        (machine,) = self.evenings(of, [StationKind.DRIVE])
        assert machine.lit_until <= machine.light.sunset
        assert machine.lit_until < hand.lit_until

    def test_an_evening_wholly_dark_is_said_to_be(self):
        """Scutching by lamplight in a barn may be posted, and is flagged."""
        dark = {
            "first_day": date(2026, 12, 7),
            "last_day": date(2026, 12, 7),
            "starts": time(19),
            "ends": time(21),
        }
        (one,) = self.evenings(run_plan(**dark))
        assert (one.is_dark, one.trouble) == (True, "")
        (lit,) = self.evenings(run_plan(**dark, by_light=True))
        assert "no light left" in lit.trouble

    def test_where_the_sun_never_rises_it_is_dark(self):
        where = make_demonstration(latitude="78.2", longitude="15.6")
        day = {"first_day": date(2026, 12, 21), "last_day": date(2026, 12, 21)}
        (one,) = selectors.evenings(where, run_plan(**day), NOW)
        assert one.is_dark
        (lit,) = selectors.evenings(where, run_plan(**day, by_light=True), NOW)
        assert "no light left" in lit.trouble

    def test_what_is_past_cannot_be_posted(self):
        past = {"first_day": date(2026, 8, 10), "last_day": date(2026, 8, 13)}
        for by_light in (False, True):
            found = self.evenings(run_plan(**past, by_light=by_light))
            said = [one.trouble for one in found]
            assert said == ["That time is past."] * 3 + [""]

    def test_a_clash_is_with_what_overlaps_and_still_stands(self):
        start = datetime(2026, 8, 17, 19, 15, tzinfo=UTC)
        there = {"demonstration": self.demonstration, "ends_at": start + timedelta(1)}
        make_gathering(**there, starts_at=start)
        (one,) = self.evenings(self.one_day())
        assert (one.clashes, one.is_offered) == ((), True)
        late = make_gathering(**there, starts_at=start - timedelta(minutes=1))
        make_gathering(
            **there, starts_at=start - timedelta(hours=1), status="called_off"
        )
        (one,) = self.evenings(self.one_day())
        assert (one.clashes, one.is_offered) == ((late,), False)

    def test_it_costs_one_query_however_long(self):
        for last in (date(2026, 8, 17), date(2026, 11, 30)):
            with self.assertNumQueries(1):
                assert self.evenings(run_plan(last_day=last))


class PostRunTests(RunCase):
    def test_every_evening_stands_with_its_stations(self):
        run = self.post()
        rows = list(run.gatherings.in_order())
        assert len(rows) == 10
        assert len({row.uid for row in rows}) == 10
        for row in rows:
            assert [one.title for one in row.stations.in_order()] == ["Pull", "Tie"]
            assert (row.status, row.revised_at) == (GatheringStatus.POSTED, NOW)
        assert (run.weekdays, run.left_out) == ([0, 1, 2, 3, 4], [])

    def test_what_is_unticked_is_left_out_and_written_down(self):
        of = run_plan(left_out=(date(2026, 8, 20),))
        run = self.post(of=of, days=of.days[1:])
        assert run.left_out == ["2026-08-17", "2026-08-20"]
        assert run.gatherings.count() == 8

    def test_drafts_are_drafts(self):
        run = self.post(as_draft=True)
        assert {row.status for row in run.gatherings.all()} == {GatheringStatus.DRAFT}

    def test_it_costs_the_same_however_many(self):
        short = run_plan(last_day=date(2026, 8, 18))
        long = run_plan(first_day=date(2026, 9, 1), last_day=date(2026, 10, 30))
        for of in (short, long):
            with self.assertNumQueries(60):
                self.post(of=of)

    def test_sent_twice_it_is_posted_once(self):
        self.post()
        words = "17 August: “Pulling by the lane” is posted at that time already"
        with pytest.raises(ValidationError, match=words):
            self.post()
        assert Run.objects.count() == 1

    def test_knowing_it_an_evening_is_posted_beside_another(self):
        self.post()
        days = run_plan().days
        assert self.post(days=days[:1], knowing=days[:1]).gatherings.count() == 1

    def refused(self, words, **changes):
        with pytest.raises(ValidationError, match=words):
            self.post(**changes)
        assert not Run.objects.exists()
        assert Gathering.objects.count() == 1

    def test_one_refusal_refuses_them_all(self):
        past = run_plan(first_day=date(2026, 8, 12))
        self.refused("12 August: That time is past", of=past)

    def test_no_evening_and_strange_evenings_are_refused(self):
        self.refused("at least one evening", days=[])
        self.refused("only those listed", days=[date(2026, 8, 16)])

    def test_more_than_eighty_are_refused(self):
        long = run_plan(last_day=date(2026, 12, 31))
        self.refused("evenings at once", of=long)

    def test_it_ends_after_it_starts(self):
        self.refused("The end is before the start", of=run_plan(ends=time(18, 30)))

    def test_a_title_it_cannot_do_without(self):
        self.refused("Please fill this in", title="")

    def test_stations_are_asked_for_and_checked(self):
        with pytest.raises(ValidationError, match="at least one station"):
            services.post_run(
                demonstration=self.demonstration,
                plan=run_plan(),
                details={k: v for k, v in details().items() if k not in TIMES},
                stations=[],
                days=run_plan().days,
                by=self.nora.user,
                now=NOW,
            )
        with pytest.raises(ValidationError, match="more than the places"):
            self.post(plan(places=1, fewest=2))

    def test_a_plot_of_elsewhere_is_refused(self):
        self.refused("Choose one from the list", plot=make_plot())

    def test_first_aid_must_be_good_on_the_last_evening(self):
        aid = make_competence(demonstration=self.demonstration, is_first_aid=True)
        skill = make_skill(
            volunteer=self.cat, competence=aid, runs_out_on=date(2026, 8, 27)
        )
        self.refused("must not run out before the day", first_aider=self.cat)
        skill.runs_out_on = date(2026, 8, 28)
        skill.save()
        assert self.post(first_aider=self.cat)

    def test_the_database_keeps_a_run_going_forward(self):
        with pytest.raises(IntegrityError, match="run_goes_forward"):
            make_run(last_day=date(2026, 8, 1))


class EditRunTests(RunCase):
    def setUp(self):
        super().setUp()
        self.run_ = self.post(of=run_plan(last_day=date(2026, 8, 19)))
        self.rows = list(self.run_.gatherings.in_order())

    def edit(self, *stations, by_light=False, same_place=False, now=NOW, **changes):
        with self.captureOnCommitCallbacks(execute=True):
            number = services.edit_run(
                run=self.run_,
                changes=changes,
                stations=stations or None,
                by_light=by_light,
                same_place=same_place,
                now=now,
            )
        self.rows = list(self.run_.gatherings.in_order())
        return number

    def test_only_what_is_changed_is_changed(self):
        one = self.rows[1]
        one.bring = "Boots"
        one.save()
        assert self.edit(title="Pulling by the burn") == 3
        assert {row.title for row in self.rows} == {"Pulling by the burn"}
        assert [row.bring for row in self.rows] == ["Gloves", "Boots", "Gloves"]
        assert [row.sequence for row in self.rows] == [0, 0, 0]
        self.run_.refresh_from_db()
        assert self.run_.title == "Pulling by the burn"

    def test_new_times_are_told_to_those_signed_up(self):
        make_sign_up(station=self.rows[0].stations.first(), volunteer=self.ann)
        self.edit(starts=time(18), ends=time(20))
        assert [f"{row.starts_at:%d %H:%M}" for row in self.rows] == [
            "17 17:00", "18 17:00", "19 17:00",
        ]  # fmt: skip
        assert [letter.subject for letter in mail.outbox] == [
            "Changed: Pulling by the lane"
        ]

    def test_what_has_begun_or_is_called_off_stays(self):
        off = self.rows[2]
        off.status = GatheringStatus.CALLED_OFF
        off.save()
        assert self.edit(bring="Boots", now=self.rows[0].starts_at) == 1
        assert [row.bring for row in self.rows] == ["Gloves", "Boots", "Gloves"]

    def test_an_end_past_the_light_is_brought_back_to_it(self):
        self.edit(ends=time(22), by_light=True)
        lights = [ground_selectors.light_of(row) for row in self.rows]
        ends = [row.ends_at for row in self.rows]
        assert all(
            timedelta(0) <= light.stop - end < timedelta(minutes=5)
            for light, end in zip(lights, ends, strict=True)
        )
        # Work at the water asks its briefing.
        here = {"demonstration": self.demonstration}
        dam = make_briefing(**here, title="At the dam")
        dam.hazards.add(make_hazard(**here, works=["tread"]))
        treading = plan(kind="tread", title="Tread", briefing=dam)
        self.edit(treading, ends=time(22), by_light=True)
        assert all(
            row.ends_at <= light.sunset
            for row, light in zip(self.rows, lights, strict=True)
        )

    def test_stations_of_the_same_name_keep_their_people(self):
        pull = self.rows[0].stations.get(title="Pull")
        held = make_sign_up(station=pull, volunteer=self.ann)
        self.edit(plan(title="PULL", places=9), plan(kind="fork", title="Fork"))
        held.refresh_from_db()
        assert (held.station.title, held.station.places) == ("PULL", 9)
        for row in self.rows:
            titles = [one.title for one in row.stations.in_order()]
            assert titles == ["PULL", "Fork"]

    def test_a_place_that_would_be_lost_refuses_them_all_and_names_its_evening(self):
        make_sign_up(station=self.rows[1].stations.get(title="Tie"), volunteer=self.ann)
        with pytest.raises(ValidationError, match="18 August: People are signed up"):
            self.edit(plan(title="Pull"), title="Another")
        assert {row.title for row in self.run_.gatherings.all()} == {
            "Pulling by the lane"
        }

    def test_a_refusal_by_field_names_its_field_and_its_evening(self):
        gone = make_volunteer(demonstration=self.demonstration, left_at=NOW)
        with pytest.raises(ValidationError) as caught:
            self.edit(lead=gone)
        assert caught.value.message_dict["lead"][0].startswith("Monday 17 August: ")

    def test_only_its_words_put_right_a_place_raises_no_sequence(self):
        self.edit(place="The tap gate", same_place=True)
        assert [row.sequence for row in self.rows] == [0, 0, 0]
        self.edit(place="The low gate")
        assert [row.sequence for row in self.rows] == [1, 1, 1]


class EndRunTests(RunCase):
    def setUp(self):
        super().setUp()
        self.run_ = self.post(of=run_plan(last_day=date(2026, 8, 20)))
        self.rows = list(self.run_.gatherings.in_order())

    def end(self, now=NOW, **said):
        with self.captureOnCommitCallbacks(execute=True):
            return services.end_run(run=self.run_, by=self.nora.user, now=now, **said)

    def states(self):
        return [row.status for row in self.run_.gatherings.in_order()]

    def test_the_rest_is_called_off_and_each_is_told_once(self):
        for row in self.rows[1:3]:
            make_sign_up(station=row.stations.first(), volunteer=self.ann)
        make_sign_up(
            station=self.rows[1].stations.last(),
            volunteer=self.bob,
            status=SignUpStatus.WAITING,
        )
        assert self.end(now=self.rows[0].starts_at) == 3
        assert self.states() == ["posted"] + ["called_off"] * 3
        told = sorted(letter.to[0] for letter in mail.outbox)
        assert told == sorted([self.ann.email, self.bob.email])
        assert "The field is done" in mail.outbox[0].body
        self.run_.refresh_from_db()
        assert self.run_.ended_at == self.rows[0].starts_at

    def test_pressed_twice_it_is_ended_once(self):
        make_sign_up(station=self.rows[1].stations.first(), volunteer=self.ann)
        self.end()
        first = Run.objects.get().ended_at
        assert self.end(now=NOW + timedelta(hours=1)) == 0
        assert (Call.objects.count(), len(mail.outbox)) == (4, 1)
        assert Run.objects.get().ended_at == first

    def test_an_evening_called_on_again_is_ended_again(self):
        self.end()
        row = Gathering.objects.get(pk=self.rows[0].pk)
        call_services.make_call(
            gathering=row,
            readings={},
            decision="go",
            note="There is a corner left.",
            by=self.nora.user,
            now=NOW,
        )
        assert self.end() == 1
        assert set(self.states()) == {"called_off"}

    def test_drafts_go(self):
        self.run_.gatherings.update(status=GatheringStatus.DRAFT)
        assert self.end(note="Pulled it all.") == 4
        assert self.states() == []

    def test_somebody_who_does_not_organise_ends_nothing(self):
        with pytest.raises(ValidationError, match="Only the lead or an organiser"):
            services.end_run(run=self.run_, by=self.ann.user, now=NOW)
        assert set(self.states()) == {"posted"}

    def test_taken_out_an_evening_stands_alone(self):
        services.take_out(run=self.run_, gathering=self.rows[0])
        services.take_out(run=self.run_, gathering=self.rows[0])
        services.take_out(run=self.run_, gathering=self.gathering)
        assert self.end() == 3
        self.rows[0].refresh_from_db()
        assert self.rows[0].status == GatheringStatus.POSTED


class RunPageTests(RunCase):
    def test_the_page_costs_three_queries_however_long(self):
        for last in (date(2026, 8, 18), date(2026, 9, 30)):
            run = self.post(
                of=run_plan(last_day=last), days=None, knowing=run_plan().days
            )
            with self.assertNumQueries(3):
                page = selectors.run_page(run, NOW)
                assert [str(line.gathering.first_aider) for line in page.to_come]

    def test_it_tells_what_is_to_come_from_what_is_over(self):
        run = self.post(of=run_plan(last_day=date(2026, 8, 19)))
        first, second, _ = run.gatherings.in_order()
        second.status = GatheringStatus.CALLED_OFF
        second.save()
        make_sign_up(station=first.stations.first())
        page = selectors.run_page(run, NOW)
        assert (len(page.to_come), len(page.still_on), page.places_held) == (3, 2, 1)
        page = selectors.run_page(run, first.starts_at)
        assert (len(page.over), page.places_held) == (1, 0)
        assert page.days == "Monday to Friday"

    def test_the_list_costs_one_query_and_counts(self):
        run = self.post(of=run_plan(last_day=date(2026, 8, 18)))
        for size in (1, 4):
            with self.assertNumQueries(1):
                lines = selectors.runs_page(self.demonstration, NOW)
                assert len(lines) == size
            for _ in range(3):
                make_run(demonstration=self.demonstration, weekdays=[0, 2])
        (line,) = [line for line in lines if line.run == run]
        assert (line.run.evenings, line.run.to_come) == (2, 2)
        assert {line.days for line in lines} == {
            "Monday to Friday",
            "Monday, Wednesday",
        }

    def test_places_of_a_called_off_evening_are_kept_to_be_seen(self):
        with transaction.atomic():
            run = self.post(of=run_plan(last_day=date(2026, 8, 17)))
        make_sign_up(station=make_station(gathering=run.gatherings.get()))
        services.end_run(run=run, by=self.nora.user, now=NOW)
        assert SignUp.objects.filter(gathering__run=run).count() == 1
