"""A briefing's short form, and whether that is what somebody heard."""

from django.db import migrations, models

from heritage.common.triggers import (
    KeepRules,
    LetGoOfRules,
    WithRulesAside,
    WrittenOnce,
)

HEARD = "briefings_acknowledgement"
NEVER_CHANGED = "What somebody heard, when and by whose word is never changed."
COLUMNS = ["version_id", "heard_at", "how", "recorded_by_id"]


class Migration(migrations.Migration):
    dependencies = [("briefings", "0001_initial")]

    operations = [
        LetGoOfRules([WrittenOnce(HEARD, COLUMNS, NEVER_CHANGED)]),
        WithRulesAside(
            [
                migrations.AddField(
                    model_name="briefing",
                    name="short",
                    field=models.TextField(
                        blank=True,
                        default="",
                        help_text=(
                            "A dozen short lines, one to a line, to read out or to "
                            "read on a phone. It's part of the version: when it "
                            "changes, everybody hears it again."
                        ),
                        max_length=1800,
                        verbose_name="short form",
                    ),
                    preserve_default=False,
                ),
                migrations.AddField(
                    model_name="acknowledgement",
                    name="in_short",
                    field=models.BooleanField(
                        default=False, verbose_name="in its short form"
                    ),
                ),
            ]
        ),
        KeepRules([WrittenOnce(HEARD, [*COLUMNS, "in_short"], NEVER_CHANGED)]),
    ]
