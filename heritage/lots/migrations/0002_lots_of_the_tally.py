from django.db import migrations, models


def make_lots_of_the_tally(apps, schema_editor):
    """Give what was pulled before there were lots its lots, in the order of pulling."""
    using = schema_editor.connection.alias
    Lot = apps.get_model("lots", "Lot")
    pulls = (
        apps.get_model("tally", "Entry")
        .objects.using(using)
        .order_by()
        .values_list("gathering", "plot", "gathering__demonstration")
        .annotate(first=models.Min("entered_at"), starts=models.Min("gathering__starts_at"))
        .order_by("gathering__demonstration", "gathering__starts_at", "gathering", "plot")
    )
    last = {}
    for gathering, plot, demonstration, first, starts in pulls:
        last[demonstration] = last.get(demonstration, 0) + 1
        Lot.objects.using(using).create(
            demonstration_id=demonstration,
            number=last[demonstration],
            gathering_id=gathering,
            plot_id=plot,
            made_at=min(first, starts),
        )


class Migration(migrations.Migration):

    dependencies = [
        ('lots', '0001_initial'),
        ('tally', '0001_initial'),
    ]

    operations = [
        migrations.RunPython(make_lots_of_the_tally, migrations.RunPython.noop),
    ]
