"""waitress with an end to patience: slow requests are let go, and no host takes every connection.

waitress counts as idle what sent nothing for a while. Who sends a byte now and then, or opens a
hundred connections and says nothing, held them all; here a request has a time to be sent in.
"""

import time
from typing import Any

from waitress.adjustments import Adjustments
from waitress.channel import HTTPChannel
from waitress.server import TcpWSGIServer

CONNECTIONS = 1_000
HOST_CONNECTIONS = 200
"""A club's room shares one address: fifty browsers, which open up to six connections each when they
fetch a page's files, and seldom all at once."""
HEADERS_S = 20
BODY_S = 300
"""A log of 64 MB at two megabits a second."""
IDLE_S = 30


class _Channel(HTTPChannel):  # type: ignore[misc]  # waitress is untyped
    """A connection that knows when the request it is sending began."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.began: float | None = self.creation_time

    def received(self, data: bytes) -> bool:
        """Note when a request begins, and when it is whole."""
        if self.began is None:
            self.began = time.time()
        is_whole: bool = super().received(data)
        if self.request is None:
            self.began = None
        return is_whole

    def is_late(self, now: float, *, headers_s: float, body_s: float) -> bool:
        """Whether the request that is being sent takes too long."""
        if self.began is None or self.requests:
            return False
        has_headers = self.request is not None and self.request.headers_finished
        return now - self.began > (body_s if has_headers else headers_s)


class Server(TcpWSGIServer):  # type: ignore[misc]  # waitress is untyped
    """The server of one address.

    Args:
        application: What answers.
        proxy: Address of the proxy that stands before the site, which brings everybody.
        headers_s: How long a request's head may take.
        body_s: How long a whole request may take.
        settings: The settings of waitress.
    """

    channel_class = _Channel

    def __init__(
        self,
        application: Any,  # noqa: ANN401 - as waitress has it
        *,
        proxy: str | None = None,
        headers_s: float = HEADERS_S,
        body_s: float = BODY_S,
        **settings: Any,
    ) -> None:
        self.proxy, self.headers_s, self.body_s = proxy, headers_s, body_s
        limits = {
            "connection_limit": CONNECTIONS,
            "asyncore_use_poll": True,  # select() cannot watch more than 1,024 files
            "channel_timeout": IDLE_S,
            "cleanup_interval": min(headers_s, 5),
        }
        super().__init__(application, adj=Adjustments(**limits, **settings))

    def fix_addr(self, addr: tuple[str, int]) -> tuple[str, int]:
        """The peer of a new connection; of a host that has too many, its oldest idle one is let go."""
        host = addr[0]
        if host != self.proxy:
            same = [one for one in self.active_channels.values() if one.addr[0] == host]
            if len(same) >= HOST_CONNECTIONS:
                waiting = [one for one in same if not one.requests and not one.total_outbufs_len]
                for channel in sorted(waiting, key=lambda one: one.last_activity)[:1]:
                    channel.will_close = True
        return addr

    def maintenance(self, now: float) -> None:
        """Close what is idle, and requests that take too long to be sent."""
        super().maintenance(now)
        for channel in self.active_channels.values():
            if channel.is_late(now, headers_s=self.headers_s, body_s=self.body_s):
                channel.will_close = True
