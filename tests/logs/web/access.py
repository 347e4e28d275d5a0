"""What the access tests need to know of the app's addresses."""

import re

from django.test import Client

TOKEN = re.compile(rb'name="csrfmiddlewaretoken" value="[^"]+"')

OWN_PAGES = ["/", "/solves/", "/progress/", "/cases/", "/cases/oll/27/", "/members/", "/how/"]
"""Pages that every signed-in user has."""
ABOUT_ONE = [
    "/uploads/{upload}/",
    "/uploads/{upload}/set-aside/",
    "/solves/{solve}/",
    "/members/{membership}/progress/",
    "/members/{membership}/solves/",
]
"""Pages about one thing, which may be somebody else's."""
POSTED = ["/uploads/", "/set-aside/{row}/mend/"]
NOWHERE = {"upload": 999_999, "solve": 999_999, "membership": 999_999, "row": 999_999}


def answer(client: Client, address: str, *, is_post: bool = False) -> tuple[int, bytes]:
    """Status and body of an answer, its random form token aside."""
    response = client.post(address) if is_post else client.get(address)
    return response.status_code, TOKEN.sub(b"", response.content)
