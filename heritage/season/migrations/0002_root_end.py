from django.db import migrations, models

from heritage.common.triggers import WithRulesAside


class Migration(migrations.Migration):
    dependencies = [("season", "0001_initial")]

    operations = [
        WithRulesAside(
            [
                migrations.AddField(
                    model_name="demonstration",
                    name="root_end",
                    field=models.CharField(
                        choices=[("down", "root end down"), ("up", "root end up")],
                        default="down",
                        help_text=(
                            "Printed directions differ: say how it's done here."
                        ),
                        max_length=4,
                        verbose_name="how beets stand in the dam",
                    ),
                ),
                migrations.AddConstraint(
                    model_name="demonstration",
                    constraint=models.CheckConstraint(
                        condition=models.Q(("root_end__in", ["down", "up"])),
                        name="demonstration_root_end_known",
                    ),
                ),
            ]
        )
    ]
