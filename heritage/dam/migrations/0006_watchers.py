"""A turn has a watcher on the bank, by its name; the book says where nobody watched."""

from importlib import import_module

import django.core.validators
import django.db.models.deletion
from django.db import migrations, models

from heritage.common.triggers import KeptByTriggers, LetGoOfTriggers, Rule

BEFORE = import_module("heritage.dam.migrations.0004_never_alone").RULES

WORDS = "treading_never_alone: two trod and one watched, or it says why not."
REFUSE = f"RAISE EXCEPTION '{WORDS}' USING ERRCODE = 'check_violation';"
# Two trod, somebody watched, and they were three; true or false on both databases.
ENOUGH = (
    "(SELECT COUNT(CASE WHEN trod THEN 1 END) >= 2"
    " AND COUNT(CASE WHEN watches THEN 1 END) >= 1"
    " AND COUNT(CASE WHEN trod OR watches THEN 1 END) >= 3"
    " FROM dam_treader WHERE turn_id = {turn})"
)
# Written down: the people are marked first, then the turn.
WRITTEN = "NEW.trodden_at IS NOT NULL AND NEW.why_alone = ''"
TOO_FEW = f"{WRITTEN} AND NOT {ENOUGH.format(turn='NEW.id')}"
# Taken back of one of them. Rows may still be forgotten, when their time is over.
STANDS = (
    "EXISTS (SELECT 1 FROM dam_treading WHERE id = OLD.turn_id"
    " AND trodden_at IS NOT NULL AND why_alone = '')"
)
TAKEN_BACK = f"{STANDS} AND NOT {ENOUGH.format(turn='OLD.turn_id')}"
# The turn's row is held, so that two at once do not each count the other.
HOLD = "PERFORM 1 FROM dam_treading WHERE id = OLD.turn_id FOR UPDATE;"


def _rule(name: str, table: str, fires: str, broken: str, first: str = "") -> Rule:
    return Rule(
        name,
        table,
        fires,
        f"SELECT RAISE(ABORT, '{WORDS}') WHERE {broken}",
        f"{first} IF {broken} THEN {REFUSE} END IF;",
    )


RULES = [
    _rule("dam_treading_inserted_alone", "dam_treading", "AFTER INSERT", TOO_FEW),
    _rule(
        "dam_treading_never_alone",
        "dam_treading",
        "AFTER UPDATE OF trodden_at, why_alone",
        TOO_FEW,
    ),
    _rule(
        "dam_treader_never_alone",
        "dam_treader",
        "AFTER UPDATE OF trod, watches, turn_id",
        TAKEN_BACK,
        HOLD,
    ),
]

# What stands in the book was right by the rule of its day.
SAY_SO = (
    "UPDATE dam_treading SET why_alone = 'Written before a watcher was asked for.'"
    " WHERE trodden_at IS NOT NULL AND why_alone = ''"
)


class Migration(migrations.Migration):

    dependencies = [
        ('dam', '0005_what_was_seen'),
        ('people', '0009_account_letters_that_came_back'),
        ('safety', '0008_a_hazard_has_a_place'),
    ]

    operations = [
        LetGoOfTriggers(BEFORE),
        migrations.AddField(
            model_name='treader',
            name='watches',
            field=models.BooleanField(default=False, verbose_name='watches from the bank'),
        ),
        migrations.AlterField(
            model_name='rotaplan',
            name='briefing',
            field=models.ForeignKey(error_messages={'blank': 'Choose the briefing everybody hears first.'}, null=True, on_delete=django.db.models.deletion.PROTECT, related_name='rotas', to='safety.briefing', verbose_name='safety briefing to hear first'),
        ),
        migrations.AlterField(
            model_name='rotaplan',
            name='people',
            field=models.PositiveSmallIntegerField(default=2, help_text='Two at least. One more watches from the bank.', validators=[django.core.validators.MinValueValidator(2), django.core.validators.MaxValueValidator(12)], verbose_name='people treading'),
        ),
        migrations.AlterField(
            model_name='treading',
            name='why_alone',
            field=models.CharField(blank=True, max_length=300, verbose_name='why one trod alone, or nobody watched'),
        ),
        migrations.AddConstraint(
            model_name='treader',
            constraint=models.UniqueConstraint(condition=models.Q(('watches', True)), fields=('turn',), name='treader_one_watcher_a_turn', violation_error_message='Somebody watches this turn already.'),
        ),
        migrations.AddConstraint(
            model_name='treader',
            constraint=models.CheckConstraint(condition=models.Q(('watches', False), ('state', 'on'), ('trod__isnull', False), _connector='OR'), name='treader_watcher_is_on_or_came', violation_error_message='Only somebody on the turn watches it.'),
        ),
        migrations.RunSQL(SAY_SO, migrations.RunSQL.noop),
        KeptByTriggers(RULES),
    ]
