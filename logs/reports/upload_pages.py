"""All uploads, and all rows that wait to be mended, page by page."""

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.core.paginator import Paginator

from logs.reports.people import time_zone_of
from logs.reports.uploads import SetAsideLine, UploadLine, upload_line
from logs.selectors.uploads import set_aside_list, upload_get, upload_list

if TYPE_CHECKING:
    from clubsite.accounts.models import User

PAGE_SIZE = 50


@dataclass(frozen=True, slots=True)
class UploadPage:
    """A page of uploads, the newest first; ``n`` over all pages, of which there are ``n_pages``."""

    lines: tuple[UploadLine, ...]
    n: int
    page: int
    n_pages: int


@dataclass(frozen=True, slots=True)
class SetAsidePage:
    """A page of an upload's rows that wait to be mended, in the order of the file."""

    lines: tuple[SetAsideLine, ...]
    n: int
    page: int
    n_pages: int


def upload_page(*, actor: "User", page: int = 1) -> UploadPage:
    """A page of the actor's uploads; past the end the last one."""
    zone = time_zone_of(actor=actor)
    found = Paginator(upload_list(actor=actor), PAGE_SIZE).get_page(page)
    lines = tuple(upload_line(upload, zone) for upload in found)
    return UploadPage(lines, found.paginator.count, found.number, found.paginator.num_pages)


def set_aside_page(*, actor: "User", upload_id: int, page: int = 1) -> SetAsidePage:
    """A page of the rows that wait; past the end the last one.

    Raises:
        NotFoundError: There is no such upload, or it is somebody else's.
    """
    upload = upload_get(actor=actor, upload_id=upload_id)
    found = Paginator(set_aside_list(actor=actor, upload=upload), PAGE_SIZE).get_page(page)
    lines = tuple(SetAsideLine(row.pk, row.line, row.field, row.message, row.text) for row in found)
    return SetAsidePage(lines, found.paginator.count, found.number, found.paginator.num_pages)
