"""Seal the second locks' secrets that stand in plain text; backwards, open them.

Safe to repeat: what is sealed is left as it is.
"""

from django.db import migrations

from heritage.common.sealed import seal_if_plain, unseal

SECRETS = ("secret", "seed")
SECRET_LISTS = ("migrated_codes",)


def _change_all(apps, change):
    rows = apps.get_model("mfa", "Authenticator").objects.order_by("pk")
    # Held, so that a spare code used at this moment is not given back.
    for lock in rows.select_for_update():
        data = dict(lock.data)
        for name in SECRETS:
            if name in data:
                data[name] = change(data[name])
        for name in SECRET_LISTS:
            if name in data:
                data[name] = [change(text) for text in data[name]]
        if data != lock.data:
            lock.data = data
            lock.save(update_fields=["data"])


def seal_all(apps, schema_editor):
    _change_all(apps, seal_if_plain)


def unseal_all(apps, schema_editor):
    _change_all(apps, unseal)


class Migration(migrations.Migration):
    dependencies = [
        ("people", "0005_account_letters"),
        ("mfa", "0003_authenticator_type_uniq"),
    ]

    operations = [migrations.RunPython(seal_all, unseal_all)]
