from django.db import migrations

from heritage.common.append_only import AppendOnly
from heritage.common.written_once import OnlyIf, WrittenOnce

HEARD = "safety_acknowledgement"
NOT_BEFORE = """
NEW.heard_at >= (
    SELECT published_at FROM safety_briefingversion WHERE id = NEW.version_id
)
"""
OWN = """
NEW.how <> 'screen' OR EXISTS (
    SELECT 1 FROM people_volunteer person
    LEFT JOIN people_volunteer guardian ON guardian.id = person.guardian_id
    WHERE person.id = NEW.volunteer_id
    AND NEW.recorded_by_id IN (person.user_id, guardian.user_id)
)
"""


class Migration(migrations.Migration):
    dependencies = [
        ("safety", "0006_fixed_parts_of_briefings"),
        # SQLite cannot alter people_volunteer any more once a trigger speaks of it.
        ("people", "0008_organiser_since"),
    ]

    operations = [
        AppendOnly("safety_briefingversion"),
        AppendOnly("safety_machinecheck"),
        WrittenOnce(
            HEARD,
            ["version_id", "heard_at", "how", "recorded_by_id"],
            "What somebody heard, when and by whose word is never changed.",
        ),
        OnlyIf(
            HEARD,
            "since",
            NOT_BEFORE,
            "Nobody heard a version before it was published.",
        ),
        OnlyIf(
            HEARD,
            "own",
            OWN,
            "On a screen people answer only for themselves and their children.",
        ),
    ]
