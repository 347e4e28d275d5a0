"""``manage.py relabel``: all labels made anew by the engine and the book as they now stand."""

import os
import socket
import time
from typing import Any

from django.core.management.base import BaseCommand
from django.utils import timezone

from logs.jobs.report import report_of
from logs.jobs.selectors import with_parts
from logs.solves.services.relabel import relabel_start
from logs.tasks import execute

PAUSE_S = 0.5


class Command(BaseCommand):
    """Make all labels anew and print how many differ. It may be stopped: workers go on with it."""

    help = "Make all labels anew from the stored rows, together with the workers that run."

    def handle(self, *args: Any, **options: Any) -> None:
        """Relabel part by part, with a line of progress after each, until workers have ended too."""
        first = relabel_start(now=timezone.now())
        if first is None:
            self.stdout.write("0 solves relabelled, 0 changed.")
            return
        worker = f"{socket.gethostname()[:50]}-{os.getpid()}"
        for part in with_parts(job=first):
            execute(part.pk, worker=worker)
            if options["verbosity"] > 1:
                done = report_of(first, timezone.now())
                self.stdout.write(f"{done.n_read} of {done.n_total} solves so far")
        done = report_of(first, timezone.now())
        while done.is_active:
            time.sleep(PAUSE_S)
            done = report_of(first, timezone.now())
        self.stdout.write(f"{done.n_read} solves relabelled, {done.n_changed} changed.")
        if done.n_refused:
            self.stderr.write(
                f"{done.n_refused} are taken by the engine no longer and keep their labels;"
                " the log names them."
            )
        if done.error_message:
            self.stderr.write(done.error_message)
