"""The stage of what was done is kept too; mix-ups are counted anew by ``manage.py retally``."""

from django.db import migrations, models


def forget(apps, schema_editor):
    """Drop the counts made without it: they are rebuilt from the sightings."""
    apps.get_model("logs", "MixUpTally").objects.all().delete()


class Migration(migrations.Migration):

    dependencies = [
        ("logs", "0006_audit_append_only"),
    ]

    operations = [
        migrations.RunPython(forget, migrations.RunPython.noop),
        migrations.RemoveConstraint("mixuptally", "mix_up_tally_once"),
        migrations.RemoveConstraint("mixuptally", "mix_up_tally_stage_known"),
        migrations.AddField(
            "mixuptally",
            "done_stage",
            models.CharField(default="", max_length=3),
            preserve_default=False,
        ),
        migrations.AddConstraint(
            "mixuptally",
            models.UniqueConstraint(
                fields=("member", "kind", "stage", "shown", "done_stage", "done", "misfire_kind"),
                name="mix_up_tally_once",
            ),
        ),
        migrations.AddConstraint(
            "mixuptally",
            models.CheckConstraint(
                condition=models.Q(("done_stage__in", ["oll", "pll"]), ("stage__in", ["oll", "pll"])),
                name="mix_up_tally_stage_known",
            ),
        ),
    ]
