"""When a gathering was closed; those long over with a list of who came are."""

from typing import Any

from django.db import migrations, models
from django.db.models import F
from django.utils import timezone

from heritage.common.triggers import WithRulesAside


def close_what_is_over(apps: Any, schema_editor: Any) -> None:
    """Take as closed what is over and has its list: it was gone through already."""
    rows = apps.get_model("gatherings", "Gathering").objects.filter(
        ends_at__lte=timezone.now(), turnout__isnull=False
    )
    keys = list(rows.values_list("pk", flat=True).distinct())
    apps.get_model("gatherings", "Gathering").objects.filter(pk__in=keys).update(
        closed_at=F("ends_at")
    )


class Migration(migrations.Migration):
    dependencies = [("gatherings", "0001_initial")]

    operations = [
        WithRulesAside(
            [
                migrations.AddField(
                    model_name="gathering",
                    name="closed_at",
                    field=models.DateTimeField(
                        blank=True,
                        editable=False,
                        help_text="Who came and what each pulled was gone through.",
                        null=True,
                        verbose_name="closed",
                    ),
                ),
            ]
        ),
        migrations.RunPython(close_what_is_over, migrations.RunPython.noop),
    ]
