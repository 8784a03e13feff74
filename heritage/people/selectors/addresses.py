"""Where mail about somebody goes."""

from heritage.people.models import Volunteer


def own_address(person: Volunteer) -> str:
    """Return the address entered for somebody or, without one, their account's."""
    return person.email or (person.user.email if person.user else "")


def address_of(person: Volunteer) -> str:
    """Return where mail about somebody goes: their own address, or their guardian's."""
    own = own_address(person)
    return own or (address_of(person.guardian) if person.guardian else "")
