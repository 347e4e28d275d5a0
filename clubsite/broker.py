"""The task engine of a site with workers on several hosts: Celery with Redis, from CLUBSITE_BROKER.

It only carries jobs' numbers. What a job is, who holds it and how far it has come stands in the
database alone, so that neither a lost nor a doubled message does any harm. Started with
``celery -A clubsite.broker worker`` on each host and one ``celery -A clubsite.broker beat``.
"""

import os

import django
from celery import Celery, Task
from django.conf import settings

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "clubsite.settings")
django.setup()

from django.utils import timezone  # noqa: E402 - Django is set up above

from logs.jobs.services import TASK  # noqa: E402 - Django is set up above
from logs.tasks import execute, sweep  # noqa: E402 - Django is set up above

SWEEP = "logs.sweep"
SWEEP_S = 10

app = Celery("clubsite", broker=settings.BROKER, set_as_current=True)
app.conf.update(
    task_acks_late=True,
    task_reject_on_worker_lost=True,
    worker_prefetch_multiplier=1,
    task_ignore_result=True,
    broker_connection_retry_on_startup=True,
    broker_transport_options={
        "visibility_timeout": 3600,
        "unacked_restore_interval": 10,
        "unacked_restore_throttle": 1,
    },
    worker_hijack_root_logger=False,
    beat_schedule={
        "sweep": {"task": SWEEP, "schedule": SWEEP_S, "options": {"expires": SWEEP_S}},
    },
)


def _do(task: Task, job_id: int) -> None:
    """Do the job, unless somebody else has it."""
    execute(job_id, worker=task.request.hostname)


def _sweep() -> None:
    """Queue what is due, and hand over again what is silent or never came."""
    sweep(now=timezone.now())


app.task(name=TASK, bind=True)(_do)
app.task(name=SWEEP)(_sweep)
