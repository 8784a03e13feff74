# Station and PatternStation share a base: names on this side alone, no change to a table.

import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('gatherings', '0008_places_freed'),
        ('people', '0009_account_letters_that_came_back'),
        ('safety', '0008_a_hazard_has_a_place'),
    ]

    operations = [
        migrations.AlterField(
            model_name='patternstation',
            name='briefing',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='safety.briefing', verbose_name='briefing to have heard'),
        ),
        migrations.AlterField(
            model_name='patternstation',
            name='competence',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='people.competence', verbose_name='must be able to'),
        ),
        migrations.AlterField(
            model_name='patternstation',
            name='fewest',
            field=models.PositiveSmallIntegerField(default=0, help_text='With fewer than this the work is not started.', verbose_name='fewest needed'),
        ),
        migrations.AlterField(
            model_name='station',
            name='competence',
            field=models.ForeignKey(blank=True, null=True, on_delete=django.db.models.deletion.PROTECT, to='people.competence', verbose_name='must be able to'),
        ),
    ]
