from django.conf import settings
from django.db import migrations, models

from heritage.common.triggers import KeepRules, Never, WithRulesAside, WrittenOnce

# A test is struck, once; nothing else of its line ever changes. No column is compared
# with an empty one, so both databases read the second rule.
RULES = [
    WrittenOnce(
        "dam_check",
        [
            "ret_id",
            "at",
            "finding",
            "stems",
            "place",
            "tester",
            "note",
            "entered_by_id",
        ],
        "What a test found is never changed: strike it, and write it anew.",
    ),
    Never(
        "dam_check",
        "struck_once",
        "UPDATE OF struck_at, struck_why",
        'OLD."struck_at" IS NOT NULL AND (NEW."struck_at" IS NULL'
        ' OR NEW."struck_at" <> OLD."struck_at"'
        ' OR NEW."struck_why" <> OLD."struck_why")',
        "A test that was struck stays struck, for the reason given.",
    ),
]


class Migration(migrations.Migration):

    dependencies = [
        ('dam', '0012_words_that_say_it'),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        WithRulesAside([
        migrations.AddField(
            model_name='check',
            name='struck_at',
            field=models.DateTimeField(blank=True, null=True, verbose_name='struck at'),
        ),
        migrations.AddField(
            model_name='check',
            name='struck_why',
            field=models.CharField(blank=True, choices=[('wrong', 'written down wrongly'), ('badly', 'not done properly'), ('elsewhere', "it wasn't this dam")], max_length=9, verbose_name='why it was struck'),
        ),
        migrations.AddConstraint(
            model_name='check',
            constraint=models.CheckConstraint(condition=models.Q(models.Q(('struck_at__isnull', True), ('struck_why', '')), models.Q(('struck_at__isnull', False), ('struck_why__in', ['wrong', 'badly', 'elsewhere'])), _connector='OR'), name='check_struck_for_a_reason', violation_error_message="Choose why it doesn't count."),
        ),
        ]),
        KeepRules(RULES),
    ]
