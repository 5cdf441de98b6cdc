import django.db.models.deletion
from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('metrics', '0004_unit_has_throws'),
    ]

    operations = [
        migrations.CreateModel(
            name='UnitPayload',
            fields=[
                ('id', models.BigAutoField(auto_created=True, primary_key=True, serialize=False, verbose_name='ID')),
                ('content', models.JSONField(default=dict, help_text='the throws as they would be stored')),
                ('unit', models.OneToOneField(on_delete=django.db.models.deletion.CASCADE, related_name='held', to='metrics.importunit')),
            ],
        ),
        migrations.RunSQL(
            'INSERT INTO metrics_unitpayload (unit_id, content) SELECT id, payload FROM metrics_importunit',
            'UPDATE metrics_importunit SET payload = (SELECT content FROM metrics_unitpayload WHERE unit_id = metrics_importunit.id)',
        ),
    ]
