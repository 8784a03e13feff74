import uuid

from django.db import migrations, models


def give_keys(apps, schema_editor):
    """Give each call made before there were keys one of its own."""
    calls = apps.get_model("gatherings", "Call").objects
    for call in calls.filter(key__isnull=True):
        call.key = uuid.uuid4()
        call.save(update_fields=["key"])


class Migration(migrations.Migration):
    dependencies = [("gatherings", "0002_initial")]

    operations = [
        migrations.AddField(
            "call", "key", models.UUIDField(editable=False, null=True)
        ),
        migrations.RunPython(give_keys, migrations.RunPython.noop),
        migrations.AlterField(
            "call",
            "key",
            models.UUIDField(default=uuid.uuid4, editable=False, unique=True),
        ),
    ]
