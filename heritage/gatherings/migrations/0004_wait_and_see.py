"""The middle decision has another word; nothing in the database changes."""

from django.db import migrations, models

CHOICES = [("go", "go ahead"), ("hold", "wait and see"), ("off", "call off")]


class Migration(migrations.Migration):
    dependencies = [("gatherings", "0003_visitors")]

    operations = [
        migrations.AlterField(
            model_name="call",
            name="advice",
            field=models.CharField(
                choices=CHOICES, max_length=4, verbose_name="what the figures advise"
            ),
        ),
        migrations.AlterField(
            model_name="call",
            name="decision",
            field=models.CharField(
                choices=CHOICES, max_length=4, verbose_name="decision"
            ),
        ),
    ]
