"""Ids of jobs handed to the task engine, where the site has one; without one workers look by themselves."""

from functools import cache
from typing import TYPE_CHECKING

from django.conf import settings

if TYPE_CHECKING:
    from celery import Celery

TASK = "logs.execute"
"""The engine's name for `logs.tasks.execute`."""


def is_delivering() -> bool:
    """Whether there is a task engine."""
    return bool(settings.BROKER)


def deliver(job_id: int) -> bool:
    """Hand a job's id over; False when the engine cannot be reached, and a sweep tries again."""
    # Imported here alone: without a broker the engine is never loaded.
    from kombu.exceptions import OperationalError  # noqa: PLC0415 - see above

    try:
        _engine().send_task(TASK, args=[job_id], retry=False)
    except OperationalError:
        return False
    return True


@cache
def _engine() -> "Celery":
    from celery import Celery  # noqa: PLC0415 - see above

    engine = Celery("logs", broker=settings.BROKER, set_as_current=False)
    engine.conf.broker_transport_options = {"socket_connect_timeout": 2, "socket_timeout": 5}
    return engine
