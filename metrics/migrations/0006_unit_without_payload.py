from django.db import migrations


class Migration(migrations.Migration):

    dependencies = [
        ('metrics', '0005_unit_payload'),
    ]

    operations = [
        migrations.RemoveField(model_name='importunit', name='payload'),
    ]
