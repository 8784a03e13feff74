"""What a dam's water can do between two readings, and what it cannot."""

from ._checks import not_negative

__all__ = ["WARMEST_C", "could_be_fahrenheit", "most_change", "to_celsius"]

# Open water in these islands is not so warm. Our own judgement.
WARMEST_C = 35.0
# Where and how it is read. Our own judgement.
PLACE_C = 3.0
# Full sun, 1000 W/m², taken up whole by half a metre of water (4186 J a kg and kelvin).
SUN_C_AN_HOUR = 1.7
# As much as shallow water swings in a day, and as the weather turns it. From memory.
DAY_SWING_C = 12.0
TURN_C_A_DAY = 2.0


def most_change(hours: float) -> float:
    """Return how far two readings of one dam may lie apart before anybody asks.

    Parameters
    ----------
    hours : float
        The time between them. [h]

    Returns
    -------
    float
        The sun's hours up to a day's swing, the turn of the weather, and what the
        place of the reading makes. [K]

    References
    ----------
    .. [1] The sun: 1000 W/m² (the irradiance of ASTM G173 and of IEC 61215's standard
       conditions) into 0.5 m of water. The rest is our own judgement: it asks, and
       forbids nothing.
    """
    not_negative(hours, "hours")
    swing = min(SUN_C_AN_HOUR * hours, DAY_SWING_C)
    return PLACE_C + swing + TURN_C_A_DAY * hours / 24


def could_be_fahrenheit(temp: float) -> bool:
    """Tell whether a number is too warm for a dam in °C, and would do in °F.

    Parameters
    ----------
    temp : float
        The number that was read.

    Returns
    -------
    bool
        Whether it is above 35, and between freezing and 35 °C if it is in °F.
    """
    return temp > WARMEST_C and 0 <= to_celsius(temp) <= WARMEST_C


def to_celsius(fahrenheit: float) -> float:
    """Return degrees Celsius.

    Parameters
    ----------
    fahrenheit : float
        Degrees Fahrenheit. [°F]

    Returns
    -------
    float
        Degrees Celsius, by definition. [°C]
    """
    return (fahrenheit - 32) / 1.8
