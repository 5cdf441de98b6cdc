from django.db import migrations, models


def say_which_hold_none(apps, schema_editor):
    apps.get_model("metrics", "ImportUnit").objects.filter(payload__throws__0__isnull=True).update(has_throws=False)


class Migration(migrations.Migration):

    dependencies = [
        ('metrics', '0003_read_again_target'),
    ]

    operations = [
        migrations.AddField(
            model_name='importunit',
            name='has_throws',
            field=models.BooleanField(default=True, help_text='whether it holds any'),
        ),
        migrations.RunPython(say_which_hold_none, migrations.RunPython.noop),
    ]
