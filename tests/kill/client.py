"""A browser's part in sending logs: signs in and posts files, in a process of its own.

``python -m tests.kill.client ADDRESS NAME PASSWORD FILE...`` prints the status of each answer.
"""

import json
import sys
import urllib.error
import urllib.request
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urlencode

BORDER = "a-border-that-no-log-holds"


class Client:
    """A signed-in client of the site at ``address``."""

    def __init__(self, address: str, name: str, password: str) -> None:
        self._address = address
        self._cookies = CookieJar()
        self._opener = urllib.request.build_opener(
            urllib.request.HTTPCookieProcessor(self._cookies)
        )
        self.get("/sign-in/")
        fields = {"username": name, "password": password, "csrfmiddlewaretoken": self._token()}
        _, page = self._post(
            "/sign-in/", urlencode(fields).encode(), "application/x-www-form-urlencoded"
        )
        assert "Signed in as" in page

    def get(self, path: str) -> tuple[int, str]:
        """Status and text of a page."""
        return self._ask(urllib.request.Request(self._address + path))

    def send(self, content: bytes, name: str) -> tuple[int, str]:
        """Post a log as the form does; status and text of the page that follows."""
        parts = (
            f'--{BORDER}\r\nContent-Disposition: form-data; name="csrfmiddlewaretoken"\r\n\r\n'
            f"{self._token()}\r\n"
            f'--{BORDER}\r\nContent-Disposition: form-data; name="file"; filename="{name}"\r\n'
            "Content-Type: text/csv\r\n\r\n"
        )
        body = parts.encode() + content + f"\r\n--{BORDER}--\r\n".encode()
        status, page = self._post("/uploads/", body, f"multipart/form-data; boundary={BORDER}")
        assert status != 200 or "What became of this log" in page
        return status, page

    def _token(self) -> str:
        return next(cookie.value or "" for cookie in self._cookies if cookie.name == "csrf")

    def _post(self, path: str, body: bytes, kind: str) -> tuple[int, str]:
        headers = {"Content-Type": kind, "Referer": self._address + path}
        return self._ask(urllib.request.Request(self._address + path, data=body, headers=headers))

    def _ask(self, request: urllib.request.Request) -> tuple[int, str]:
        try:
            with self._opener.open(request, timeout=120) as answer:
                return answer.status, answer.read().decode()
        except urllib.error.HTTPError as error:
            return error.code, error.read().decode()


if __name__ == "__main__":
    address, name, password, *files = sys.argv[1:]
    client = Client(address, name, password)
    answers = [client.send(Path(file).read_bytes(), Path(file).name)[0] for file in files]
    print(json.dumps(answers))
