"""Ids of jobs handed to the task engine, where the site has one; without one workers look by themselves."""

from typing import Any

from django.conf import settings

TASK = "logs.execute"
"""The engine's name for `logs.tasks.execute`."""


def is_delivering() -> bool:
    """Whether there is a task engine."""
    return bool(settings.BROKER)


def deliver(job_id: int) -> bool:
    """Hand a job's id over; False when the engine cannot be reached, and a sweep tries again."""
    # Imported here alone: without a broker the site runs without the engine installed.
    from celery import current_app  # noqa: PLC0415 - see above
    from kombu.exceptions import OperationalError  # noqa: PLC0415 - see above

    app: Any = current_app
    try:
        app.send_task(TASK, args=[job_id], retry=False)
    except OperationalError:
        return False
    return True
