"""Towns by name and by place. What is expected is geography, not our own sums."""

import pytest

from heritage.kits import gazetteer


def test_a_name_is_found_without_its_accents_capitals_and_hyphens():
    (found,) = [one for one in gazetteer.named("stratford upon avon") if one.people]
    assert found.name == "Stratford-upon-Avon"
    assert gazetteer.named("evry")[0].country == "FR"


def test_what_follows_a_comma_tells_towns_of_one_name_apart():
    assert len(gazetteer.named("Newport")) > 5
    assert {one.region for one in gazetteer.named("Newport, Wales")} == {"Wales"}
    assert gazetteer.named("Newtown, Wales")[0].country == "GB"
    assert gazetteer.named("Carrowlint") == []


def test_towns_near_a_place_are_told_nearest_first():
    around = gazetteer.near(54.18, -7.23, 25)
    assert around[0].name == "Clones"
    assert {one.country for one in around} == {"GB", "IE"}


def test_a_degree_of_latitude_is_111_km():
    assert gazetteer.distance_km(53, -7, 54, -7) == pytest.approx(111.2, abs=0.1)


@pytest.mark.parametrize(
    ("country", "place", "zone"),
    [
        ("GB", (54.6, -6.4), "Europe/London"),
        ("IE", (53.2, -7.1), "Europe/Dublin"),
        ("PT", (32.6, -16.9), "Atlantic/Madeira"),
        ("CA", (49.9, -97.1), "America/Winnipeg"),
        ("", (50.9, 5.3), "Europe/Brussels"),
    ],
)
def test_a_place_keeps_the_zone_of_its_country(country, place, zone):
    assert gazetteer.time_zone(country, *place) == zone
