from django.db import migrations

from heritage.common.append_only import AppendOnly


class Migration(migrations.Migration):
    dependencies = [("safety", "0003_incidents_site_machines")]

    operations = [AppendOnly("safety_hazardchange")]
