"""The name as it is looked for, for everybody who is here already."""

from django.db import migrations

import athletes.models.people
from athletes.folding import folded


def fold_names(apps, schema_editor):
    rows = list(apps.get_model("athletes", "Athlete").objects.only("given_name", "family_name"))
    for row in rows:
        row.folded_name = folded(f"{row.given_name} {row.family_name}")
    apps.get_model("athletes", "Athlete").objects.bulk_update(rows, ["folded_name"], batch_size=500)


class Migration(migrations.Migration):
    dependencies = [("athletes", "0006_people_and_sharing")]

    operations = [
        migrations.AddField(
            model_name="athlete",
            name="folded_name",
            field=athletes.models.people.FoldedNameField(blank=True, default="", editable=False),
        ),
        migrations.RunPython(fold_names, migrations.RunPython.noop),
    ]
