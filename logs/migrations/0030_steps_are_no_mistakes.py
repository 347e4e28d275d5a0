from django.db import migrations

TALLIES = ("CaseTally", "CaseWeekTally", "WeekTally", "MixUpTally", "CoverageTally")


def forget_tallies(apps, schema_editor):
    """Forget counts of another shape; `manage.py retally` makes them anew."""
    for name in TALLIES:
        apps.get_model("logs", name).objects.all().delete()


class Migration(migrations.Migration):

    dependencies = [
        ("logs", "0029_answers_by_tapping_or_turning"),
    ]

    operations = [
        migrations.RunPython(forget_tallies, migrations.RunPython.noop),
        migrations.RemoveConstraint(model_name="mixuptally", name="mix_up_tally_counted"),
    ]
