from django.db import migrations

from metrics.triggers import keep_published


class Migration(migrations.Migration):
    dependencies = [("metrics", "0001_initial")]

    operations = keep_published()
