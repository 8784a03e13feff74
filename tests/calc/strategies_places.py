"""Evenings to be put in order: stations, and people with places, turns and wishes."""

from hypothesis import strategies as st

from heritage.calc.assignment import Person, Station


@st.composite
def evenings(draw, *, most_people=9):
    """Draw stations, and people of whom no station holds more than it has places."""
    stations = []
    for number in range(draw(st.integers(1, 4))):
        places = draw(st.integers(0, 4))
        stations.append(Station(f"S{number}", places, draw(st.integers(0, places))))
    names = [station.name for station in stations]
    free = {station.name: station.places for station in stations}
    some = st.frozensets(st.sampled_from(names))
    people = []
    for number in range(draw(st.integers(0, most_people))):
        at = draw(st.sampled_from(names))
        waits = free[at] == 0 or draw(st.booleans())
        free[at] -= not waits
        people.append(
            Person(
                f"P{number}",
                at,
                waits=waits,
                also=draw(some),
                may=draw(some) | draw(some),
                stays=draw(st.sampled_from([False, False, False, True])),
            )
        )
    return people, stations
