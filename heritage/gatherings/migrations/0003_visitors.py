"""How many came to look at a gathering."""

from django.db import migrations, models
from django.db.models import Q

from heritage.common.triggers import WithRulesAside


class Migration(migrations.Migration):
    dependencies = [("gatherings", "0002_gathering_closed")]

    operations = [
        WithRulesAside(
            [
                migrations.AddField(
                    model_name="gathering",
                    name="visitors",
                    field=models.PositiveIntegerField(
                        blank=True,
                        editable=False,
                        help_text="Who came to look, about how many."
                        " Empty: nobody counted.",
                        null=True,
                        verbose_name="visitors",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="gathering",
                    constraint=models.CheckConstraint(
                        condition=Q(visitors__isnull=True) | Q(visitors__lte=20_000),
                        name="gathering_visitors_possible",
                        violation_error_message="That is more than could stand there.",
                    ),
                ),
            ]
        ),
    ]
