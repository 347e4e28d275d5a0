"""End the tokens made so far: their scopes allow more than was said when they were made."""

from django.db import migrations


def end(apps, schema_editor):
    apps.get_model("logs", "ApiToken").objects.all().delete()


class Migration(migrations.Migration):
    dependencies = [("logs", "0020_job_range")]

    operations = [migrations.RunPython(end, migrations.RunPython.noop)]
