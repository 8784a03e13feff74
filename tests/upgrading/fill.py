"""Fill an empty database with a row of every kind; the dumps are made of it.

`tests.upgrading.make` runs this in a process of its own, on the database that
`DATABASE_URL` names.
"""

import os


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    import django

    django.setup()

    from django.core.management import call_command
    from django.db import connection

    from heritage.common.triggers import sealed
    from heritage.tally.models import Answer, OwnLog
    from tests.factories import NOW
    from tests.people.world import make_keeper, make_world

    call_command("migrate", verbosity=0)
    world = make_world(name="Carrowlint flax")
    keeper = make_keeper()
    Answer.objects.create(
        own_log=OwnLog.objects.get(),
        entry=world.rows["entry"],
        answered_at=NOW,
        answered_by=keeper,
    )
    with connection.cursor() as cursor:
        for table in sealed(connection):
            cursor.execute(f'SELECT COUNT(*) FROM "{table}"')  # noqa: S608
            assert cursor.fetchone()[0], f"{table} is empty"


if __name__ == "__main__":
    main()
