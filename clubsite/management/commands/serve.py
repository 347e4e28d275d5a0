"""Run the site with waitress, and a worker beside it."""

import signal
import sys
from contextlib import nullcontext
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from clubsite.server import Server
from clubsite.workers import worker_beside
from clubsite.wsgi import application

THREADS = 8
BODY_LIMIT_BYTES = 64 * 1024 * 1024


class Command(BaseCommand):
    """``manage.py serve``: answers requests until it is stopped."""

    help = "Serve the site. A local site answers to this machine alone."

    def add_arguments(self, parser: CommandParser) -> None:
        """Where to listen."""
        parser.add_argument("--address", default="127.0.0.1", help="IP address to listen on")
        parser.add_argument("--port", type=int, default=8000, help="port to listen on")
        parser.add_argument(
            "--no-worker", action="store_true", help="leave the work behind requests to others"
        )

    def handle(
        self, *args: Any, address: str, port: int, no_worker: bool = False, **options: Any
    ) -> None:
        """Listen, say where, and serve, with a worker beside unless a task engine has its own."""
        try:
            server = Server(application, **server_settings(address, port))
        except OSError as error:
            raise CommandError(
                f"Cannot listen on {address}:{port}: {error.strerror}. "
                "Choose another port with --port."
            ) from error
        check_database()
        self.stdout.write(
            f"The site is at http://{address}:{server.effective_port}/ (stop it with Ctrl+C)"
        )
        self.stdout.flush()
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))  # as Ctrl+C: the worker is let end
        has_worker = not (no_worker or settings.BROKER)
        with worker_beside() if has_worker else nullcontext():
            server.run()


def check_database() -> None:
    """Make sure that the tables are this version's, and that what is acknowledged is kept.

    Raises:
        CommandError: They are not, or PostgreSQL is set up to lose it with the power.
    """
    executor = MigrationExecutor(connection)
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        raise CommandError(
            "The tables are not those of this version: run manage.py migrate first. "
            "Before an update, keep a copy of the database."
        )
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SHOW synchronous_commit")
            if cursor.fetchone() == ("off",):
                raise CommandError(
                    "PostgreSQL has synchronous_commit = off: a log that was taken in could be "
                    "lost with the power. Set it to on."
                )


def server_settings(address: str, port: int) -> dict[str, Any]:
    """Keyword arguments for waitress; forwarded headers count from the configured proxy alone."""
    proxy = settings.ENVIRONMENT.proxy
    common: dict[str, Any] = {
        "host": address,
        "port": port,
        "threads": THREADS,
        "ident": None,
        "max_request_body_size": BODY_LIMIT_BYTES,
        "clear_untrusted_proxy_headers": True,
    }
    if proxy is None:
        return common
    return {
        **common,
        "proxy": proxy,
        "trusted_proxy": proxy,
        "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
    }
