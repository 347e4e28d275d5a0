"""Run the site with waitress, and a worker beside it."""

import signal
import sys
from contextlib import nullcontext
from typing import Any

import waitress
from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

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
            server = waitress.create_server(application, **server_settings(address, port))
        except OSError as error:
            raise CommandError(
                f"Cannot listen on {address}:{port}: {error.strerror}. "
                "Choose another port with --port."
            ) from error
        self.stdout.write(
            f"The site is at http://{address}:{server.effective_port}/ (stop it with Ctrl+C)"
        )
        self.stdout.flush()
        signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))  # as Ctrl+C: the worker is let end
        has_worker = not (no_worker or settings.BROKER)
        with worker_beside() if has_worker else nullcontext():
            server.run()


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
        "trusted_proxy": proxy,
        "trusted_proxy_headers": {"x-forwarded-for", "x-forwarded-proto"},
    }
