"""What somebody who visits wants to know of the place: five lines, all optional."""

from django.db import migrations, models

from heritage.common.triggers import WithRulesAside


class Migration(migrations.Migration):
    dependencies = [("season", "0002_root_end")]

    operations = [
        WithRulesAside(
            [
                migrations.AddField(
                    model_name="demonstration",
                    name="parking",
                    field=models.CharField(
                        blank=True,
                        max_length=200,
                        verbose_name="parking",
                    ),
                ),
                migrations.AddField(
                    model_name="demonstration",
                    name="footwear",
                    field=models.CharField(
                        blank=True,
                        max_length=200,
                        verbose_name="what to wear",
                    ),
                ),
                migrations.AddField(
                    model_name="demonstration",
                    name="dogs",
                    field=models.CharField(
                        blank=True,
                        max_length=200,
                        verbose_name="dogs",
                    ),
                ),
                migrations.AddField(
                    model_name="demonstration",
                    name="toilets",
                    field=models.CharField(
                        blank=True,
                        max_length=200,
                        verbose_name="toilets",
                    ),
                ),
                migrations.AddField(
                    model_name="demonstration",
                    name="access",
                    field=models.CharField(
                        blank=True,
                        help_text=(
                            "For wheels, sticks and prams: gates, ground, somewhere to "
                            "sit."
                        ),
                        max_length=200,
                        verbose_name="getting about",
                    ),
                ),
            ]
        )
    ]
