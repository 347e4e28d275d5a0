"""What is in the tables of a job, held against the model of its file."""

from collections import Counter

from logs.jobs.models import Job
from logs.solves.models.solves import SetAsideRow, Sighting, Solve, Upload
from logs.solves.models.tallies import CaseTally
from logs.solves.services.tallies import tally_rebuild
from tests.kill.made_file import MadeFile


def check(job_id: int, made: MadeFile) -> int:
    """Compare the tables with the model of the rows that are reported as read; how many those are."""
    job = Job.objects.get(pk=job_id)
    upload = Upload.objects.get(job=job)
    read = slice(0, upload.n_rows)
    fates = Counter(made.fates[read])
    counted = {
        "taken": upload.n_taken,
        "doubled": upload.n_doubled,
        "set_aside": upload.n_set_aside,
    }
    assert counted == {fate: fates[fate] for fate in counted}
    assert job.n_read == upload.n_rows
    by_line = list(zip(made.lines, made.fates, made.notes, made.n_sightings, strict=True))[read]
    taken = {line: (note, n) for line, fate, note, n in by_line if fate == "taken"}
    solves = dict(Solve.objects.filter(upload=upload).values_list("line", "pk"))
    notes = dict(Solve.objects.filter(upload=upload).values_list("line", "note"))
    assert notes == {line: note for line, (note, _) in taken.items()}
    sightings = Counter(
        Sighting.objects.filter(solve__upload=upload).values_list("solve_id", flat=True)
    )
    assert sightings == Counter({solves[line]: n for line, (_, n) in taken.items() if n})
    aside = SetAsideRow.objects.filter(upload=upload).values_list("line", flat=True)
    assert sorted(aside) == [line for line, fate, _, _ in by_line if fate == "set_aside"]
    return upload.n_rows


def check_tallies(job: Job) -> None:
    """The tallies are what counting the whole log anew gives."""
    assert job.member is not None
    kept = _tallies(job)
    tally_rebuild(member_ids=[job.member.pk])
    assert kept == _tallies(job) != []


def _tallies(job: Job) -> list[dict[str, object]]:
    rows = CaseTally.objects.filter(member=job.member_id).order_by("stage", "case", "kind")
    return [{k: v for k, v in row.items() if k != "id"} for row in rows.values()]
