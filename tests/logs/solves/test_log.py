import json

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from cubecore.notation import parse_script
from cubecore.rows import Penalty
from logs.solves.models.solves import SetAsideRow, Solve, Upload
from tests.factories import make_club, make_csv, make_membership, make_row, make_rows, make_upload

pytestmark = pytest.mark.django_db

UNSOLVED = "2026-03-01T13:00:00Z,R U,12.34,,U',,\r\n"
MENDED = "2026-03-01T13:00:00Z,R U,12.34,,U' R',,\r\n"


@pytest.fixture
def member_in_lisbon():
    return make_membership(make_club(time_zone="Europe/Lisbon"))


@pytest.fixture
def mine(client: Client, member_in_lisbon) -> Client:
    client.force_login(member_in_lisbon.user)
    return client


def file_of(content: bytes, name: str = "march.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, content, content_type="text/csv")


def test_a_new_member_is_led_to_adding_a_log(mine: Client):
    page = mine.get("/log/").content.decode()
    assert "Add this log" in page
    assert "Nothing has been sent yet" in page
    assert "Best single" not in page


def test_a_file_leads_to_what_became_of_it(mine: Client, member_in_lisbon):
    content = make_csv(make_rows(3)) + UNSOLVED.encode()
    response = mine.post("/uploads/", {"file": file_of(content), "text": ""}, follow=True)
    upload = Upload.objects.get(member=member_in_lisbon.user)
    assert response.redirect_chain == [(f"/uploads/{upload.pk}/", 302)]
    assert upload.time_zone == "Europe/Lisbon"
    report = response.context["report"]
    counts = (report.upload.n_taken, report.upload.n_doubled, report.upload.n_set_aside)
    assert counts == (3, 0, 1)
    page = response.content.decode()
    assert "march.csv" in page
    assert "one turn is missing at the end" in page
    assert "Line 5" in page


def test_pasted_text_is_taken_as_a_file_would_be(mine: Client, member_in_lisbon):
    response = mine.post("/uploads/", {"text": make_csv(make_rows(2)).decode()}, follow=True)
    assert response.context["report"].upload.n_taken == 2
    assert Upload.objects.get(member=member_in_lisbon.user).file_name == "pasted log"


def test_the_same_file_twice_adds_nothing_and_says_so(mine: Client):
    content = make_csv(make_rows(2))
    mine.post("/uploads/", {"file": file_of(content)})
    page = mine.post("/uploads/", {"file": file_of(content)}, follow=True).content.decode()
    assert "You have sent this very file before" in page
    assert Solve.objects.count() == 2


def test_solves_sent_before_count_as_doubled(mine: Client):
    mine.post("/uploads/", {"file": file_of(make_csv(make_rows(2)))})
    response = mine.post("/uploads/", {"file": file_of(make_csv(make_rows(3)))}, follow=True)
    report = response.context["report"].upload
    assert (report.n_rows, report.n_taken, report.n_doubled) == (3, 1, 2)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        ({}, "Choose a file, drop one, or paste the text of a log."),
        ({"text": " \n "}, "Choose a file, drop one, or paste the text of a log."),
        ({"text": "PK\x03\x04"}, "The file is a ZIP archive"),
        ({"text": "time,note\n12.34,x\n"}, "scramble"),
    ],
)
def test_what_cannot_be_read_at_all_comes_back_with_the_reason(mine: Client, data, words: str):
    response = mine.post("/uploads/", data)
    assert response.status_code == 422
    assert words in response.content.decode()
    assert Upload.objects.count() == 0


def test_a_file_and_text_together_are_refused_and_the_text_is_kept(mine: Client):
    data = {"file": file_of(make_csv([make_row()])), "text": "scramble,time\nR U,1.23\n"}
    response = mine.post("/uploads/", data)
    assert response.status_code == 422
    page = response.content.decode()
    assert "There is a file and pasted text." in page
    assert "R U,1.23" in page
    assert Upload.objects.count() == 0


def test_an_empty_file_says_what_is_wrong_with_it(mine: Client):
    response = mine.post("/uploads/", {"file": file_of(b"")})
    assert response.status_code == 422
    assert "empty" in response.content.decode()


def test_markup_in_a_log_is_shown_as_text(mine: Client, member_in_lisbon):
    bad = b"2026-03-01T13:00:00Z,<script>alert(1)</script>,1.23,,,,\r\n"
    upload = make_upload(member_in_lisbon.user, content=make_csv([make_row(note="<b>x</b>")]) + bad)
    page = mine.get(f"/uploads/{upload.pk}/").content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert(1)&lt;/script&gt;" in page
    solve = Solve.objects.get()
    assert "<b>x</b>" not in mine.get(f"/solves/{solve.pk}/").content.decode()


def set_aside_row(member) -> SetAsideRow:
    make_upload(member.user, content=make_csv([make_row()]) + UNSOLVED.encode())
    return SetAsideRow.objects.get()


def test_a_mended_row_is_taken(mine: Client, member_in_lisbon):
    row = set_aside_row(member_in_lisbon)
    response = mine.post(f"/set-aside/{row.pk}/mend/", {"text": MENDED}, follow=True)
    page = response.content.decode()
    assert "The row is taken: a solve of 12.34." in page
    assert "Every row of this log was read." in page
    report = response.context["report"].upload
    assert (report.n_taken, report.n_set_aside) == (2, 0)


def test_a_row_still_wrong_keeps_what_was_typed_and_says_why(mine: Client, member_in_lisbon):
    row = set_aside_row(member_in_lisbon)
    typed = MENDED.replace("U' R'", "U' Q")
    response = mine.post(f"/set-aside/{row.pk}/mend/", {"text": typed})
    assert response.status_code == 422
    page = response.content.decode()
    assert "Still not taken." in page
    assert "&#x27;Q&#x27; cannot be read here" in page
    assert "U&#x27; Q" in page
    assert Solve.objects.count() == 1
    row.refresh_from_db()
    assert row.mended_at is None


def test_a_row_mended_into_a_solve_one_has_counts_once(mine: Client, member_in_lisbon):
    row = set_aside_row(member_in_lisbon)
    make_upload(member_in_lisbon.user, content=make_csv([]) + MENDED.encode())
    page = mine.post(f"/set-aside/{row.pk}/mend/", {"text": MENDED}, follow=True).content.decode()
    assert "you have that solve already: it counts once" in page
    assert Solve.objects.count() == 2


def test_a_row_mended_twice_says_that_it_is_taken(mine: Client, member_in_lisbon):
    row = set_aside_row(member_in_lisbon)
    mine.post(f"/set-aside/{row.pk}/mend/", {"text": MENDED})
    page = mine.post(f"/set-aside/{row.pk}/mend/", {"text": MENDED}, follow=True).content.decode()
    assert "This row has been taken already." in page
    assert Solve.objects.count() == 2


def test_the_rows_set_aside_come_back_as_a_file_that_can_be_sent(mine: Client, member_in_lisbon):
    upload = set_aside_row(member_in_lisbon).upload
    response = mine.get(f"/uploads/{upload.pk}/set-aside/")
    assert response["Content-Type"] == "text/csv; charset=utf-8"
    name = f'attachment; filename="set-aside-{upload.pk}.csv"'
    assert response["Content-Disposition"] == name
    text = response.content.decode()
    assert text.endswith(UNSOLVED)
    mended = text.replace("U',", "U' R',").encode()
    again = mine.post("/uploads/", {"file": file_of(mended)}, follow=True)
    assert again.context["report"].upload.n_taken == 1


def test_rows_of_json_lines_come_back_as_json_lines(mine: Client, member_in_lisbon):
    lines = [{"scramble": "R U", "time": "1.23"}, {"scramble": "R Q", "time": "1.23"}]
    content = "".join(json.dumps(line) + "\n" for line in lines).encode()
    upload = make_upload(member_in_lisbon.user, content=content)
    response = mine.get(f"/uploads/{upload.pk}/set-aside/")
    assert response["Content-Type"] == "application/x-ndjson; charset=utf-8"
    assert json.loads(response.content) == lines[1]


def test_more_rows_than_a_page_holds_are_in_the_file(mine: Client, member_in_lisbon):
    content = make_csv([make_row()]) + 53 * UNSOLVED.encode()
    upload = make_upload(member_in_lisbon.user, content=content)
    page = mine.get(f"/uploads/{upload.pk}/").content.decode()
    assert page.count("<textarea") == 50
    assert "3 more rows are in the" in page


def test_columns_without_meaning_are_named(mine: Client, member_in_lisbon):
    content = b"scramble,time,mood\r\nR U,1.23,good\r\n"
    upload = make_upload(member_in_lisbon.user, content=content)
    page = mine.get(f"/uploads/{upload.pk}/").content.decode()
    assert "<code>mood</code>" in page


def test_the_example_is_a_log_that_is_taken_whole(mine: Client):
    example = mine.get("/log-template.csv")
    assert example["Content-Disposition"] == 'attachment; filename="log-template.csv"'
    response = mine.post("/uploads/", {"file": file_of(example.content)}, follow=True)
    report = response.context["report"]
    assert (report.upload.n_taken, report.upload.n_set_aside) == (4, 0)
    assert report.unknown_columns == ()
    timed, untimed, time_only, marked = Solve.objects.order_by("line")
    assert timed.f2l_ms is not None
    assert untimed.kind == "solve"
    assert (untimed.f2l_ms, time_only.kind) == (None, "")
    oll, pll = marked.sightings.order_by("stage")
    assert (marked.f2l_ms, oll.recognition_ms, pll.execution_ms) == (10_050, 1_230, 2_600)
    assert parse_script(timed.solution).n_layer_tokens == len(timed.turn_ms.split())


def test_the_figures_count_solves_and_leave_drills_out(mine: Client, member_in_lisbon):
    drill = make_row("R U R' U R U2 R'", gap_ms=10)
    make_upload(member_in_lisbon.user, [*make_rows(5), drill])
    report = mine.get("/log/").context["report"]
    assert (report.n_solves, report.n_drills) == (5, 1)
    solve = Solve.objects.filter(kind="solve")[0]
    assert report.best.time_ms == solve.time_ms
    assert report.average.time_ms == solve.time_ms


def test_rows_that_wait_are_pointed_out(mine: Client, member_in_lisbon):
    set_aside_row(member_in_lisbon)
    page = mine.get("/log/").content.decode()
    assert "1 row could not be taken and waits to be mended" in page


def test_two_dnfs_among_the_last_five_make_the_average_a_dnf(mine: Client, member_in_lisbon):
    # WCA Regulations 9f9: one DNF is the worst of five, two make the average a DNF.
    rows = make_rows(5)
    rows = [row._replace(penalty=Penalty.DNF) if i in (1, 3) else row for i, row in enumerate(rows)]
    make_upload(member_in_lisbon.user, rows)
    report = mine.get("/log/").context["report"]
    assert (report.average.time_ms, report.average.is_dnf) == (None, True)
    assert report.best.time_ms == rows[0].time_ms


def test_fewer_than_five_solves_have_no_average(mine: Client, member_in_lisbon):
    make_upload(member_in_lisbon.user, [row._replace(penalty=Penalty.DNF) for row in make_rows(4)])
    report = mine.get("/log/").context["report"]
    assert (report.average, report.best.is_dnf) == (None, True)
    page = mine.get("/log/").content.decode()
    assert "needs 5 solves" in page


def test_the_cell_at_fault_is_marked_and_its_likely_mend_is_one_press_away(
    mine: Client, member_in_lisbon
):
    bad = '2026-03-01T13:00:00Z,R U,"1:07,98",,,,\r\n2026-03-01T14:00:00Z,R U Q D,9.99,,,,\r\n'
    upload = make_upload(member_in_lisbon.user, content=make_csv([make_row()]) + bad.encode())
    page = mine.get(f"/uploads/{upload.pk}/").content.decode()
    assert "Line 3: time" in page
    assert "<mark>1:07,98</mark>" in page
    assert "Read it as <code>1:07.98</code>" in page
    assert "Line 4: scramble, 3rd turn" in page
    assert "<mark>R U Q D</mark>" in page
    first = SetAsideRow.objects.get(line=3)
    (line, _) = mine.get(f"/uploads/{upload.pk}/").context["report"].rows
    mine.post(f"/set-aside/{first.pk}/mend/", {"text": line.mend.text})
    assert Solve.objects.filter(time_ms=67_980).exists()  # 1:07.98 by hand


def test_a_row_can_be_left_out(mine: Client, member_in_lisbon):
    row = set_aside_row(member_in_lisbon)
    response = mine.post(f"/set-aside/{row.pk}/leave-out/", follow=True)
    page = response.content.decode()
    assert f"Line {row.line} is left out" in page
    assert "Nothing waits to be mended" in page
    report = mine.get("/log/").context["report"]
    assert report.n_set_aside == 0
    assert report.uploads[0].n_set_aside == 1
