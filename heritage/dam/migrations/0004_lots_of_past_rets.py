from django.db import migrations, models

NOTE = "From the dam's book, before there were lots."


def move_what_was_steeped(apps, schema_editor):
    """Take what rets held before there were lots from the oldest lots that were there.

    What no tally has is counted in, in a lot of its own.
    """
    using = schema_editor.connection.alias
    Ret = apps.get_model("dam", "Ret").objects.using(using)
    for ret in Ret.select_related("dam").order_by("began_at", "pk"):
        for lot, beets in shares(apps, using, ret):
            steep(apps, using, ret, lot, beets)


def shares(apps, using, ret):
    """Return of which lots a ret's beets were, and how many of each."""
    Lot = apps.get_model("lots", "Lot").objects.using(using)
    here, wanted = ret.dam.demonstration_id, ret.beets
    of_the_dam = {"demonstration": here, "made_at__lte": ret.began_at}
    for lot in Lot.filter(gathering__isnull=False, **of_the_dam).order_by("number"):
        beets = min(wanted, left_in_field(apps, using, lot))
        if beets > 0:
            yield lot, beets
            wanted -= beets
    if wanted:
        last = Lot.filter(demonstration=here).aggregate(last=models.Max("number"))
        found = Lot.create(
            demonstration_id=here, number=(last["last"] or 0) + 1, made_at=ret.began_at
        )
        write(apps, using, found, "lost", "stook", wanted, ret.began_at, "miscounted")
        yield found, wanted


def left_in_field(apps, using, lot):
    Entry = apps.get_model("tally", "Entry").objects.using(using)
    Move = apps.get_model("lots", "Move").objects.using(using)
    pulled = Entry.filter(gathering=lot.gathering_id, plot=lot.plot_id)
    moved = Move.filter(lot=lot, source="stook")
    return total(pulled) - total(moved)


def total(rows):
    return rows.aggregate(beets=models.Sum("beets"))["beets"] or 0


def steep(apps, using, ret, lot, beets):
    """Write that a lot went into the dam and, if it was lifted, out onto the grass."""
    Filled = apps.get_model("dam", "Filled").objects.using(using)
    ways = [("stook", "dam", ret.began_at)]
    ways += [("dam", "grass", ret.lifted_at)] if ret.lifted_at else []
    for source, target, at in ways:
        move = write(apps, using, lot, source, target, beets, at)
        Filled.create(ret=ret, move=move)


def write(apps, using, lot, source, target, beets, at, loss=""):
    Move = apps.get_model("lots", "Move").objects.using(using)
    return Move.create(
        lot=lot, to_lot=lot, source=source, target=target, beets=beets, at=at,
        loss=loss, note=NOTE, entered_at=at,
    )


class Migration(migrations.Migration):

    dependencies = [
        ('dam', '0003_filled_with_lots'),
        ('lots', '0002_lots_of_the_tally'),
        ('tally', '0001_initial'),
    ]

    operations = [
        migrations.RunPython(move_what_was_steeped, migrations.RunPython.noop),
    ]
