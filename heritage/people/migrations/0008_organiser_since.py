"""Write down since when somebody organises: a second lock's first day counts from it.

Of those who organise already it is not known; it is taken to be since they joined.
"""

from django.db import migrations, models
from django.db.models import F, Q


def since_they_joined(apps, schema_editor):
    people = apps.get_model("people", "Volunteer").objects
    people.filter(is_organiser=True).update(organiser_since=F("joined_at"))


class Migration(migrations.Migration):
    dependencies = [
        ("people", "0007_letters_about_several"),
        ("season", "0002_answers_and_birth_dates"),
    ]

    operations = [
        migrations.AddField(
            model_name="volunteer",
            name="organiser_since",
            field=models.DateTimeField(
                blank=True, null=True, verbose_name="organiser since"
            ),
        ),
        migrations.RunPython(since_they_joined, migrations.RunPython.noop),
        migrations.AddConstraint(
            model_name="volunteer",
            constraint=models.CheckConstraint(
                condition=Q(is_organiser=True, organiser_since__isnull=False)
                | Q(is_organiser=False, organiser_since__isnull=True),
                name="volunteer_organiser_since_made_one",
            ),
        ),
    ]
