"""The factories make rows that the database takes."""

import pytest

from tests import factories

MAKERS = [name for name in vars(factories) if name.startswith("make_")]
NEEDS_MORE = {"make_acknowledgement"}


@pytest.mark.django_db
@pytest.mark.parametrize("name", sorted(set(MAKERS) - NEEDS_MORE))
def test_every_factory_makes_a_whole_row(name):
    row = getattr(factories, name)()
    row.full_clean(validate_unique=False, validate_constraints=False)
    row.refresh_from_db()
    assert row.pk
