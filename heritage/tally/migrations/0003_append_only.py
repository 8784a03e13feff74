from django.db import migrations

from heritage.common.append_only import AppendOnly


class Migration(migrations.Migration):
    """From here on the database refuses to change or remove a line of the book."""

    dependencies = [("tally", "0002_work_ground_own_logs")]

    operations = [
        AppendOnly("tally_entry"),
        AppendOnly("tally_work"),
        AppendOnly("tally_pulledarea"),
        AppendOnly("tally_ownlog"),
        AppendOnly("tally_answer"),
    ]
