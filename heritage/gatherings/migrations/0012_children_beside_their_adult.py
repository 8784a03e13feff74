"""A child under 13 has a place only where the adult who answers for them has one."""

from django.db import migrations

from heritage.common.triggers import KeptByTriggers, Rule

WORDS = "sign_up_child_beside_adult: a child under 13 comes only with their adult."
REFUSE = f"RAISE EXCEPTION '{WORDS}' USING ERRCODE = 'check_violation';"

# A place given to a child, whose adult has none at the same gathering.
ALONE = (
    "NEW.status = 'held' AND EXISTS ("
    " SELECT 1 FROM people_volunteer child WHERE child.id = NEW.volunteer_id"
    " AND child.age_band = 'under_13' AND NOT EXISTS ("
    " SELECT 1 FROM gatherings_signup beside"
    " WHERE beside.gathering_id = NEW.gathering_id AND beside.status = 'held'"
    " AND beside.volunteer_id = child.guardian_id))"
)
# A place ended, while a child whom its holder answers for still has one there.
LEFT = (
    "OLD.status = 'held' AND NEW.status <> 'held' AND EXISTS ("
    " SELECT 1 FROM gatherings_signup beside"
    " JOIN people_volunteer child ON child.id = beside.volunteer_id"
    " WHERE beside.gathering_id = NEW.gathering_id AND beside.status = 'held'"
    " AND child.age_band = 'under_13' AND child.guardian_id = NEW.volunteer_id)"
)


def _rule(name: str, fires: str, broken: str) -> Rule:
    return Rule(
        name,
        "gatherings_signup",
        fires,
        f"SELECT RAISE(ABORT, '{WORDS}') WHERE {broken}",
        f"IF {broken} THEN {REFUSE} END IF;",
    )


RULES = [
    _rule("gatherings_signup_entered_alone", "AFTER INSERT", ALONE),
    _rule("gatherings_signup_child_alone", "AFTER UPDATE OF status", ALONE),
    _rule("gatherings_signup_child_left", "AFTER UPDATE OF status", LEFT),
]


class Migration(migrations.Migration):
    dependencies = [
        ("gatherings", "0011_reasons_rain_and_afterwards"),
        # SQLite cannot alter people_volunteer while a trigger speaks of it.
        ("people", "0009_account_letters_that_came_back"),
    ]

    operations = [KeptByTriggers(RULES)]
