"""Jobs in words."""

from django.template import Library

from logs.jobs.report import JobReport

register = Library()

DOING = {
    "upload": "The log is being taken in",
    "relabel": "Solves are being labelled anew",
    "letter": "The weekly letter is being sent",
}
STATUSES = {
    "queued": "Waiting for its turn",
    "done": "Done",
    "cancelled": "Stopped",
    "failed": "Stopped by a fault",
}


@register.filter
def job_title(job: JobReport) -> str:
    """What its part of a page is headed."""
    return STATUSES.get(job.status) or DOING[job.kind]


@register.filter
def job_counts(job: JobReport) -> str:
    """``1,500 of 5,000 rows read: 1,480 taken, 15 doubled, 5 set aside.``, with the time left."""
    if job.kind == "upload":
        counts = (
            f"{job.n_read:,} of {job.n_total:,} rows read: {job.n_taken:,} taken,"
            f" {job.n_doubled:,} doubled, {job.n_set_aside:,} set aside."
        )
    elif job.kind == "letter":
        counts = "The desk of a club, by mail."
    else:
        counts = (
            f"{job.n_read:,} of {job.n_total:,} solves done;"
            f" {job.n_changed:,} have a label that differs."
        )
    left = time_left(job.left_s)
    return f"{counts} At the pace so far it takes {left} more." if left else counts


def time_left(left_s: int | None) -> str:
    """``about 40 seconds``, ``about 3 minutes``, or empty when there is none to tell."""
    if left_s is None:
        return ""
    if left_s < 60:
        return f"about {max(5, -(-left_s // 5) * 5)} seconds"
    minutes = round(left_s / 60)
    return "about 1 minute" if minutes == 1 else f"about {minutes:,} minutes"
