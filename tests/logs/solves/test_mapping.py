"""The step that asks which column is what, over HTTP."""

from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from logs.intake.mapping import MAX_WORDS
from logs.people.models import Membership, Role
from logs.privacy.report.export import file_as_sent
from logs.solves.models.solves import KeptMapping, Solve, Upload, UploadDraft
from logs.solves.services.drafts import MAX_DRAFTS
from tests.factories import (
    NOW,
    make_client,
    make_club,
    make_csv,
    make_membership,
    make_rows,
    make_user,
)
from tests.logs.solves.test_mapped_uploads import in_dialect
from tests.logs.solves.test_mapped_uploads import keep as keep_mapping

pytestmark = pytest.mark.django_db

FILE = "mixed;took;said\nR U F' D;12,34;fine\nR U F' D2;12,35;late\nR U F' D';1x,35;fine\n"
SAID = {
    "encoding": "utf-8",
    "separator": "1",
    "n_before": "0",
    "has_header": "on",
    "column-0": "scramble",
    "column-1": "time",
    "column-2": "",
    "time_unit": "s",
    "decimal_mark": ",",
}


@pytest.fixture
def mine(member: Membership) -> Client:
    return make_client(member.user)


def send(client: Client, text: str = FILE) -> str:
    """Where the Log page leads with this text."""
    response = client.post("/uploads/", {"text": text})
    assert response.status_code == 302
    return str(response["Location"])


def test_our_own_format_goes_straight_in_and_another_shape_is_asked_about(mine: Client):
    assert send(mine, make_csv(make_rows(2)).decode()).startswith("/uploads/")
    place = send(mine)
    assert place.startswith("/waiting/")
    assert Upload.objects.count() == 1
    page = mine.get(place).content.decode()
    assert "pasted log is not laid out as a log of ours" in page
    assert "pasted log" in mine.get("/log/").content.decode()  # it waits there too


def test_the_preview_shows_solves_and_problems_by_line(mine: Client):
    report = mine.get(send(mine)).context["report"]
    assert [(line.line, line.solve and line.solve.time_ms) for line in report.preview] == [
        (2, 12_340),
        (3, 12_350),
        (4, None),
    ]
    assert report.preview[2].message == (
        "Column 2 “took”: '1x,35' cannot be taken; write seconds as 12,34 or minutes as 1:02,34."
    )
    assert report.n_bad == 1
    assert report.questions == {}


def test_the_preview_is_ten_rows_with_their_cases(mine: Client):
    content = in_dialect(make_rows(14)).decode("cp1252")
    report = mine.get(send(mine, content)).context["report"]
    assert "date_order" in report.questions  # the first of the third month
    assert report.preview == ()
    draft = UploadDraft.objects.get()
    answers = SAID | {
        "separator": "1",
        "column-2": "solution",
        "column-3": "done_at",
        "column-4": "",
        "date_order": "dmy",
    }
    place = f"/waiting/{draft.pk}/"
    assert mine.post(place, answers | {"then": "look"})["Location"] == f"{place}#preview"
    preview = mine.get(place).context["report"].preview
    assert [line.line for line in preview] == list(range(2, 12))
    first = preview[0].solve
    assert (first.done_at, first.oll.title, first.pll.title) == (NOW, "OLL 27 Sune", "PLL T")
    assert "1 Mar 2026, 12:00" in mine.get(place).content.decode()
    assert (first.oll.stage, first.oll.number, first.oll.angle) == ("oll", "27", 0)


def test_an_answer_is_kept_and_the_log_added(mine: Client, member: Membership):
    place = send(mine)
    said = SAID | {"column-2": "penalty", "then": "look"}
    mine.post(place, said)
    report = mine.get(place).context["report"]
    assert report.questions == {"penalties": "Say what “fine”, “late” means."}
    refused = mine.post(place, said | {"then": "add", "word-0": "none"})
    assert refused.status_code == 422
    assert "Say what “late” means." in refused.content.decode()
    said |= {"word-0": "none", "word-1": "DNF", "name": "Sheet", "keep_for": member.club.slug}
    answer = mine.post(place, said | {"then": "add"})
    upload = Upload.objects.get()
    assert answer["Location"] == f"/uploads/{upload.pk}/"
    assert (upload.n_taken, upload.n_set_aside) == (2, 1)
    assert set(Solve.objects.values_list("penalty", flat=True)) == {"", "DNF"}
    assert KeptMapping.objects.get().name == "Sheet"
    assert not UploadDraft.objects.exists()
    assert "“Sheet” is kept" in mine.get(answer["Location"]).content.decode()
    assert mine.get(place).status_code == 404
    assert send(mine).startswith("/uploads/")  # the same bytes: the answer they have


def test_a_changed_column_is_looked_at_before_the_log_is_added(mine: Client):
    place = send(mine)
    answer = mine.post(place, SAID | {"column-2": "note", "then": "add"})
    assert answer["Location"] == f"{place}#preview"
    assert not Upload.objects.exists()
    assert "look at what comes out, then add it" in mine.get(place).content.decode()


def test_another_separator_cuts_the_file_anew(mine: Client):
    place = send(mine)
    assert mine.post(place, SAID | {"separator": "3", "then": "look"}).status_code == 302
    report = mine.get(place).context["report"]
    assert len(report.columns) == 1
    assert "roles" in report.questions


@pytest.mark.parametrize(
    "changed",
    [
        {"encoding": "rot13"},
        {"separator": "9"},
        {"n_before": "99"},
        {"n_before": "20"},  # more than it has
        {"column-0": "king"},
        {"time_unit": "years"},
        {"encoding": "utf-16"},  # an odd number of bytes
    ],
)
def test_what_cannot_be_taken_is_said_and_nothing_lost(mine: Client, changed):
    place = send(mine, FILE if len(FILE) % 2 else FILE + "\n")
    assert mine.post(place, SAID | changed | {"then": "add"}).status_code == 422
    assert UploadDraft.objects.count() == 1
    assert mine.get(place).status_code == 200


def test_a_name_that_is_somebody_elses_is_refused_and_nothing_added(
    mine: Client, member: Membership
):
    other = make_membership(member.club)
    keep_mapping(other.user, "Sheet", member.club.slug)
    place = send(mine)
    said = SAID | {"name": "Sheet", "keep_for": member.club.slug, "then": "add"}
    answer = mine.post(place, said)
    assert answer.status_code == 422
    assert "kept by somebody else" in answer.content.decode()
    assert not Upload.objects.exists()
    # Of a club the member is not in nothing can be kept.
    said |= {"keep_for": make_club().slug}
    assert mine.post(place, said).status_code == 422


def test_a_file_is_discarded(mine: Client):
    place = send(mine)
    assert mine.post(f"{place}discard/")["Location"] == "/log/"
    assert not UploadDraft.objects.exists()


def test_one_file_too_many_is_told_where_it_was_sent(mine: Client):
    for number in range(MAX_DRAFTS):
        send(mine, FILE.replace("12,34", f"13,{number}"))
    response = mine.post("/uploads/", {"text": FILE})
    assert response.status_code == 422
    assert "5 files wait already" in response.content.decode()


def test_hostile_cells_are_text_on_the_page(mine: Client):
    place = send(mine, FILE.replace("said", "<script>x</script>").replace("fine", "<b>'\"&"))
    page = mine.get(place).content.decode()
    assert "<script>x" not in page
    assert "<b>'" not in page
    assert "&lt;b&gt;" in page


def test_kept_mappings_are_listed_renamed_and_forgotten(mine: Client, member: Membership):
    kept = keep_mapping(member.user, "Heft", member.club.slug)
    keep_mapping(make_user(), "Foreign")
    page = mine.get("/mappings/").content.decode()
    assert "the time from column 2 “Zeit”" in page
    assert "Foreign" not in page
    assert mine.post(f"/mappings/{kept.pk}/rename/", {"name": "New"}).status_code == 302
    assert mine.post(f"/mappings/{kept.pk}/rename/", {"name": ""}).status_code == 422
    keep_mapping(member.user, "Taken", member.club.slug)
    assert mine.post(f"/mappings/{kept.pk}/rename/", {"name": "Taken"}).status_code == 422
    assert mine.post(f"/mappings/{kept.pk}/forget/").status_code == 302
    assert [kept.name for kept in KeptMapping.objects.filter(club=member.club)] == ["Taken"]


@pytest.mark.parametrize("n_kept", [1, 50])
def test_the_list_of_kept_mappings_costs_the_same_for_one_and_for_fifty(
    mine: Client, member: Membership, n_kept, django_assert_max_num_queries
):
    make_membership(make_club(), member.user, role=Role.COACH)
    for number in range(n_kept):
        keep_mapping(member.user if number % 2 else make_user(), f"Number {number}")
    with django_assert_max_num_queries(10):
        mine.get("/mappings/")


def test_words_of_other_files_do_not_crowd_out_those_of_this_one(mine: Client):
    place = send(mine)
    mine.post(place, SAID | {"column-2": "penalty", "then": "look"})
    draft = UploadDraft.objects.get()
    draft.mapping |= {"penalties": [[f"word {n}", ""] for n in range(MAX_WORDS)]}
    draft.save()
    said = SAID | {"column-2": "penalty", "word-0": "none", "word-1": "DNF", "then": "look"}
    assert mine.post(place, said).status_code == 302
    assert mine.get(place).context["report"].questions == {}


def test_a_header_with_more_cells_than_the_rows_names_all_columns(mine: Client):
    place = send(mine, "mixed;took;said;by;at\nR U F' D;12,34;fine\nR U F' D2;12,35;late\n")
    assert mine.get(place).context["report"].mapping.n_before == 1  # no names, it seems
    mine.post(place, SAID | {"then": "look"})
    report = mine.get(place).context["report"]
    assert [column.name for column in report.columns] == ["mixed", "took", "said", "by", "at"]
    assert [line.solve.time_ms for line in report.preview] == [12_340, 12_350]


ANY = Path(__file__).parents[3] / "fixtures" / "uploads" / "any"


def test_a_spreadsheet_is_asked_about_by_sheet_and_added(mine: Client, member: Membership):
    content = (ANY / "two_sheets.xlsx").read_bytes()
    response = mine.post("/uploads/", {"file": SimpleUploadedFile("log.xlsx", content)})
    place = str(response["Location"])
    assert place.startswith("/waiting/")
    page = mine.get(place).content.decode()
    assert "The solves are in" in page
    assert "Its letters are written in" not in page
    report = mine.get(place).context["report"]
    assert (report.mapping.table, report.tables, report.questions) == ("Log", ("Notes", "Log"), {})
    form = {
        key: value
        for key, value in mine.get(place).context["form"].initial.items()
        if value not in (None, "") and value is not False
    }
    mine.post(place, form | {"name": "", "keep_for": "me", "then": "add"})
    upload = Upload.objects.get()
    assert (upload.n_taken, upload.n_set_aside) == (8, 1)
    sent = file_as_sent(actor=member.user, upload_id=upload.pk)
    assert sent.name.endswith(".xlsx")
    assert sent.content == content


def test_another_sheet_can_be_chosen(mine: Client):
    content = (ANY / "two_sheets.xlsx").read_bytes()
    response = mine.post("/uploads/", {"file": SimpleUploadedFile("log.xlsx", content)})
    place = str(response["Location"])
    form = {
        key: value
        for key, value in mine.get(place).context["form"].initial.items()
        if value not in (None, "") and value is not False
    }
    mine.post(place, form | {"table": "Notes", "name": "", "keep_for": "me"})
    assert mine.get(place).context["report"].mapping.table == "Notes"


def test_rows_without_any_case_are_warned_of_in_red(mine: Client):
    text = "mixed;took;undone\n" + "R U F' D;12,34;R U R' U'\n" * 3
    place = send(mine, text)
    said = SAID | {"column-2": "solution"}
    mine.post(place, said)
    page = mine.get(place).content.decode()
    assert mine.get(place).context["report"].is_without_cases
    assert "No case shows in any of these rows." in page
    mine.post(place, SAID)  # without solutions nothing of that kind can be said
    assert "No case shows" not in mine.get(place).content.decode()


def test_why_a_column_was_left_open_stands_beside_it(mine: Client):
    text = "one;two;took\n" + "R U R' U R U2 R';R U2 R' U' R U' R';3,5\n" * 3
    page = mine.get(send(mine, text)).content.decode()
    assert "To answer: Say which column holds the scramble." in page
    assert "Which are the scrambles only you can say." in page
