from django.db import migrations

from athletes.triggers import read_only_table


class Migration(migrations.Migration):
    dependencies = [("athletes", "0002_facts_revision")]

    operations = [
        read_only_table("athletes_changelog"),
        read_only_table("athletes_viewlog"),
        read_only_table("athletes_viewlogseal"),
    ]
