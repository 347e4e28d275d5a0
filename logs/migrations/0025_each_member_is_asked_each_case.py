"""Ask every case of each homework of every member it was set for, as they were before."""

from django.db import migrations

CHUNK = 1_000


def ask(apps, schema_editor):
    """A row for each member and case of the homework that stands."""
    Assignment = apps.get_model("logs", "Assignment")
    AssignmentCase = apps.get_model("logs", "AssignmentCase")
    asked = (
        AssignmentCase(
            assignment=assignment,
            stage=case.stage,
            case=case.case,
            asked_at=assignment.homework.set_at,
        )
        for assignment in Assignment.objects.select_related("homework").prefetch_related(
            "homework__cases"
        )
        for case in assignment.homework.cases.all()
    )
    AssignmentCase.objects.bulk_create(asked, batch_size=CHUNK)


class Migration(migrations.Migration):
    dependencies = [("logs", "0024_homework_in_two_parts")]

    operations = [migrations.RunPython(ask, migrations.RunPython.noop)]
