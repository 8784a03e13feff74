"""The assignment against a published matching, scipy's matcher and a second solver."""

import numpy as np
import pytest
from ortools.sat.python import cp_model
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_bipartite_matching

from heritage.calc.assignment import Person, Station, assign

# Six applicants and the six jobs each is willing to do; at most five are placed.
# tutorialspoint.com/maximum-bipartite-matching; the table is a common one in lessons.
APPLICANTS = [
    [0, 1, 1, 0, 0, 0],
    [1, 0, 0, 1, 0, 0],
    [0, 0, 1, 0, 0, 0],
    [0, 0, 1, 1, 0, 0],
    [0, 0, 0, 0, 0, 0],
    [0, 0, 0, 0, 0, 1],
]


def matched(willing):
    """Return how many jobs of one place are filled by people who wait elsewhere."""
    stations = [Station(f"J{n}", 1, 1) for n in range(len(willing[0]))]
    hall = Station("Hall", 0)
    people = []
    for number, row in enumerate(willing):
        jobs = frozenset(f"J{n}" for n, yes in enumerate(row) if yes)
        people.append(Person(f"A{number}", "Hall", waits=True, also=jobs, may=jobs))
    found = assign(people, [hall, *stations])
    assert found.proven
    assert len(found.moves) == len(stations) - found.short_after
    return len(found.moves)


def test_a_published_matching_places_five_of_six():
    assert matched(APPLICANTS) == 5


@pytest.mark.parametrize("seed", range(8))
def test_as_many_are_placed_as_hopcroft_and_karp_place(seed):
    """The matcher of scipy is an algorithm of another kind."""
    rng = np.random.default_rng(seed)
    willing = (rng.random((14, 11)) < 0.16).astype(int)
    pairs = maximum_bipartite_matching(csr_array(willing), perm_type="column")
    assert matched(willing.tolist()) == int((pairs >= 0).sum())


# A second solver, with the rules written down afresh.


def could_be(people, stations):
    """List who could be where: where they have a place, or wish to and may."""
    for p in people:
        for s in stations:
            here, allowed = s.name == p.at, s.name in p.may
            wished = here or (s.name in p.also and not p.stays)
            if (here and not p.waits) or (wished and allowed):
                yield p.name, s.name


def second_opinion(people, stations):
    """Return the best of each aim in turn, by CP-SAT."""
    model = cp_model.CpModel()
    x = {key: model.new_bool_var(" ".join(key)) for key in could_be(people, stations)}

    def has_place(p):
        return sum(x[p.name, s.name] for s in stations if (p.name, s.name) in x)

    for p in people:
        if not p.waits:
            model.add(has_place(p) == 1)
        elif any((p.name, s.name) in x for s in stations):
            model.add(has_place(p) <= 1)
    short, stopped = [], []
    for s in stations:
        crew = [x[p.name, s.name] for p in people if (p.name, s.name) in x]
        now = sum(p.at == s.name and not p.waits for p in people)
        model.add(sum(crew) <= max(s.places, now))
        lack = model.new_int_var(0, s.fewest, f"lack {s.name}")
        model.add(lack >= s.fewest - sum(crew))
        if now >= s.fewest:
            model.add(lack == 0)
        stops = model.new_bool_var(f"stops {s.name}")
        model.add(lack == 0).only_enforce_if(~stops)
        short.append(lack)
        stopped.append(stops)
        queue = [p for p in people if p.waits and p.at == s.name and s.name in p.may]
        for rank, first in enumerate(queue):
            others = [p for p in people if p.at != s.name] + queue[rank + 1 :]
            for p in others:
                if (p.name, s.name) in x:
                    model.add(x[p.name, s.name] <= has_place(first))
    home = {p.name: p.at for p in people}
    away = [var for (who, where), var in x.items() if where != home[who]]
    holders = {p.name for p in people if not p.waits}
    moves = [
        var for (who, where), var in x.items() if where != home[who] and who in holders
    ]
    solver, best = cp_model.CpSolver(), []
    solver.parameters.num_workers = 2
    for aim in (sum(short), sum(stopped), -sum(x.values()), sum(away), sum(moves)):
        model.minimize(aim)
        assert solver.solve(model) == cp_model.OPTIMAL
        best.append(round(solver.objective_value))
        model.add(aim == best[-1])
    return best


def random_evening(seed):
    """Return five stations and thirty people of mixed ways."""
    rng = np.random.default_rng(seed)
    stations = []
    for number in range(5):
        places = int(rng.integers(2, 9))
        stations.append(Station(f"S{number}", places, int(rng.integers(0, places + 1))))
    names = [station.name for station in stations]
    free = {station.name: station.places for station in stations}
    people = []
    for number in range(30):
        at = names[rng.choice(5, p=[0.4, 0.3, 0.15, 0.1, 0.05])]
        waits = free[at] == 0
        free[at] -= not waits
        people.append(
            Person(
                f"P{number}",
                at,
                waits=waits,
                also=frozenset(name for name in names if rng.random() < 0.3),
                may=frozenset(name for name in names if rng.random() < 0.7),
                stays=bool(rng.random() < 0.1),
            )
        )
    return people, stations


@pytest.mark.parametrize("seed", range(8))
def test_two_solvers_agree_on_every_aim(seed):
    people, stations = random_evening(seed)
    found = assign(people, stations)
    home = {person.name: person.at for person in people}
    holders = {person.name for person in people if not person.waits}
    away = [who for who, where in found.at.items() if where != home[who]]
    ours = [
        found.short_after,
        len(found.gaps),
        -len(found.at),
        len(away),
        len(holders & set(away)),
    ]
    assert found.proven
    assert ours == second_opinion(people, stations)
