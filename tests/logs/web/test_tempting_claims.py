"""The claims that sound right and are wrong stand on no page.

The pages are those of four members of the demo club. Beside each wrong form stands what is to be
said in its place.
"""

import html
import re
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from django.db import transaction
from django.test import Client

from cubecore.cases import CaseId, Stage
from logs.homework.plan import Plan
from logs.homework.services import homework_set
from logs.intake.source import SourceFile
from logs.people.models import Role, Visibility
from logs.solves.services.uploads import upload_import
from tests.demo.reading import FOLDER, LOGS
from tests.factories import SENT_AT, make_client, make_club, make_membership

pytestmark = pytest.mark.django_db

NAMES = ("marlow", "juno", "pepper", "tumble")
WRONG = {
    "noise picks the worst": r"\b(worst|weakest) case\b|\bslowest case is\b",
    "compared with itself": r"\byou(.?ve| have)? improved\b|\bimproved (by )?\d+ ?%",
    "cannot tell is not none": r"\bno progress\b|\bno improvement\b|\bdid not (help|improve)\b",
    "wide interval round zero": r"\b(has|have) plateaued\b|\breached a plateau\b",
    "cases differ in chance": r"\b\d+ ?% of (the |all )?cases (are )?known\b",
    "drills are no solves": r"\bdrills? (say|show)s? \d",
    "an effect of averaging": r"\bpower law\b|\blearning follows\b",
    "recognition or hands": r"\bdrill both\b",
    "overlapping bands": r"\branked? (\d|first|second|third)|\b\d(st|nd|rd|th) (in|of) the club\b|\bleaderboard\b",
    "pressure": r"\bstreak\b",
}


def words_of(client: Client, address: str) -> str:
    answer = client.get(address)
    assert answer.status_code == 200, address
    text = re.sub(r"(?s)<(script|style)\b.*?</\1>", " ", answer.content.decode())
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", text)))


@pytest.fixture(scope="module")
def pages(django_db_setup, django_db_blocker) -> dict[str, str]:
    """The words of the pages that a coach and members read."""
    with django_db_blocker.unblock(), transaction.atomic():
        club = make_club()
        members = {
            name: make_membership(
                club,
                role=Role.OWNER if name == "marlow" else Role.MEMBER,
                visibility=Visibility.CLUB,
            )
            for name in NAMES
        }
        for path in LOGS:
            if (name := path.stem.partition("-")[0]) in members:
                upload_import(
                    member=members[name].user,
                    source=SourceFile((FOLDER / "logs" / path.name).read_bytes()),
                    file_name=path.name,
                    time_zone=ZoneInfo("Europe/Lisbon"),
                    now=SENT_AT,
                )
        ids = {name: members[name].pk for name in NAMES}
        cases = tuple(CaseId(Stage.OLL, number) for number in (2, 1, 17))
        homework = homework_set(
            actor=members["marlow"].user,
            slug=club.slug,
            plan=Plan(cases, (ids["pepper"],)),
            now=datetime(2026, 4, 12, tzinfo=UTC),
        )
        late = homework_set(
            actor=members["marlow"].user,
            slug=club.slug,
            plan=Plan((CaseId(Stage.PLL, "T"),), (ids["pepper"],)),
            now=datetime(2026, 11, 19, tzinfo=UTC),
        )
        found = {}
        coach = make_client(members["marlow"].user)
        club_pages = ("", "mistaken/", f"compare/?member={ids['juno']}&member={ids['pepper']}")
        for address in (
            *(f"/clubs/{club.slug}/{page}" for page in club_pages),
            *(
                f"/members/{ids[name]}/{page}/"
                for name in NAMES
                for page in ("progress", "next-up")
            ),
            f"/members/{ids['juno']}/mistaken/",
            f"/homework/{homework.pk}/",
        ):
            found[address] = words_of(coach, address)
        found["assignment"] = words_of(coach, f"/homework/{homework.pk}/members/{ids['pepper']}/")
        found["late"] = words_of(coach, f"/homework/{late.pk}/members/{ids['pepper']}/")
        own = make_client(members["pepper"].user)
        for address in ("/progress/", "/next-up/", "/mistaken/", "/homework/", "/cases/oll/2/"):
            found[address] = words_of(own, address)
        found["case"] = words_of(own, "/cases/oll/45/")
        found["juno mistaken"] = found[f"/members/{ids['juno']}/mistaken/"]
        found["juno next up"] = found[f"/members/{ids['juno']}/next-up/"]
        found["club"] = found[f"/clubs/{club.slug}/"]
        transaction.set_rollback(True)
    return found


@pytest.mark.parametrize("why", WRONG)
def test_a_wrong_claim_stands_on_no_page(pages, why):
    for address, words in pages.items():
        assert re.search(WRONG[why], words, re.IGNORECASE) is None, address


@pytest.mark.parametrize(
    ("page", "instead"),
    [
        (
            "case",
            r"Cannot tell yet whether it (still )?gets faster|Very likely it is still getting faster",
        ),
        ("case", r"\d to \d.*\d+ times in one look"),
        ("assignment", r"(Very likely|Likely) faster: \d+% less time \(.*before, .*since\)"),
        ("assignment", r"Net of \d+ other cases"),
        ("late", r"cannot tell yet, about \d+ solves|Cannot tell yet, about [\d,]+ more solves"),
        ("juno mistaken", r"\d+ of \d+ .*\d+%"),
        ("juno next up", r"1 in \d+ solves"),
        ("juno next up", r"tied with the one above"),
        ("club", r"(?i)never (met|came up)"),
    ],
)
def test_the_honest_form_stands_in_its_place(pages, page, instead):
    assert re.search(instead, pages[page]) is not None, pages[page][-3000:]
