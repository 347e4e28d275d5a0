"""Tables of another shape, from the refusal to the log, and the mappings kept: as on the pages."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from logs.intake.mapping import MAX_WORDS
from logs.people.models import Membership
from logs.solves.models.solves import KeptMapping, Solve, Upload, UploadDraft
from tests.factories import make_club, make_csv, make_rows
from tests.logs.api.test_answers import post, program, refusal

pytestmark = pytest.mark.django_db

FILE = "mixed;took;said\nR U F' D;12,34;fine\nR U F' D2;12,35;late\nR U F' D';1x,35;fine\n"
DRAFTS, MAPPINGS = "/api/v1/drafts", "/api/v1/mappings"
ROLES = ["scramble", "time", "penalty"]
WORDS = [{"word": "fine", "means": ""}, {"word": "Late", "means": "DNF"}]


@pytest.fixture
def client(member: Membership) -> Client:
    return program(member.user, "read", "upload", "manage")


def send(client: Client, text: str = FILE) -> str:
    """The address of a file that waits."""
    answer = post(client, DRAFTS, {"text": text, "file_name": "heft.csv"})
    assert answer.status_code == 201
    return f"{DRAFTS}/{answer.json()['draft_id']}"


def test_a_refused_table_is_told_where_it_may_wait(client: Client):
    answer = post(client, "/api/v1/uploads", {"text": FILE})
    assert refusal(answer) == (422, "missing_column")
    assert answer.json()["error"]["message"].endswith(
        "A table in another format goes to /api/v1/drafts, where you say how to read it."
    )
    no_table = post(client, "/api/v1/uploads", {"text": "hello\n"}).json()
    assert "drafts" not in no_table["error"]["message"]


def test_a_waiting_file_answers_its_guess_its_first_rows_and_what_comes_out(client: Client):
    place = send(client)
    draft = client.get(place).json()
    assert draft["mapping"]["roles"] == ["scramble", "time", None]
    assert (draft["mapping"]["separator"], draft["mapping"]["time_unit"]) == (";", "s")
    assert draft["above"][:2] == [["mixed", "took", "said"], ["R U F' D", "12,34", "fine"]]
    assert draft["columns"][1]["examples"] == ["12,34", "12,35", "1x,35"]
    first, second, third = draft["preview"]
    assert [(line["line"], line["code"]) for line in (first, second)] == [(2, ""), (3, "")]
    assert [line["solve"]["time_ms"] for line in (first, second)] == [12_340, 12_350]
    assert (third["line"], third["code"], third["solve"]) == (4, "bad_time", None)
    assert "'1x,35' cannot be taken" in third["message"]
    assert (draft["questions"], draft["n_bad"]) == ({}, 1)
    assert draft["clubs"][0]["name"] == "Riverbank"


def test_the_same_file_waits_once_and_is_listed(client: Client):
    file = SimpleUploadedFile("heft.csv", FILE.encode())
    first = client.post(DRAFTS, {"file": file})
    again = post(client, DRAFTS, {"text": FILE})
    assert (first.status_code, again.status_code) == (201, 200)
    assert first.json() == again.json()
    (listed,) = client.get(DRAFTS).json()
    assert (listed["draft_id"], listed["file_name"]) == (first.json()["draft_id"], "heft.csv")


def test_what_uploads_take_does_not_wait(client: Client):
    ours = make_csv(make_rows(1)).decode()
    for text in (ours, "hello\n"):
        answer = post(client, DRAFTS, {"text": text})
        assert refusal(answer) == (409, "conflict")
        assert "/api/v1/uploads" in answer.json()["error"]["message"]
    assert not UploadDraft.objects.exists()


def test_a_file_is_added_once_nothing_is_open_and_waits_no_more(client: Client):
    place = send(client)
    asked = post(client, f"{place}/answers", {"roles": ROLES}).json()
    assert asked["questions"] == {"penalties": "Say what “fine”, “late” means."}
    assert asked["preview"] != []  # words do not keep the rows from being shown
    refused = client.post(f"{place}/add")
    assert refusal(refused) == (422, "mapping_open")
    assert refused.json()["error"]["field"] == "penalties"
    assert not Upload.objects.exists()
    told = post(client, f"{place}/answers", {"penalties": WORDS}).json()
    assert (told["questions"], told["mapping"]["roles"]) == ({}, ROLES)
    added = client.post(f"{place}/add")
    assert added.status_code == 201
    counts = added.json()["report"]["upload"]
    assert (counts["n_rows"], counts["n_taken"], counts["n_set_aside"]) == (3, 2, 1)
    assert set(Solve.objects.values_list("penalty", flat=True)) == {"", "DNF"}
    assert refusal(client.get(place)) == (404, "not_found")


def test_roles_and_forms_are_taken_from_one_request(client: Client):
    """Forms of a column that holds something else now are not guessed over what was said."""
    place = send(client, "scr;a;b\nR U F' D;1234;10\nR U F' D2;1235;11\n")
    swapped = post(
        client, f"{place}/answers", {"roles": ["scramble", None, "time"], "time_unit": "cs"}
    ).json()
    assert swapped["mapping"]["time_unit"] == "cs"
    assert [line["solve"]["time_ms"] for line in swapped["preview"]] == [100, 110]


def test_answers_that_do_not_fit_are_refused_at_their_field(client: Client):
    place = send(client)
    before = client.get(place).json()
    for said, field in (
        ({"roles": ["scramble", "time"]}, "roles"),
        ({"roles": ["scramble", "time", "king"]}, "roles.2"),
        ({"time_unit": "years"}, "time_unit"),
        ({"penalties": [{"word": "late", "means": "+3"}]}, "penalties.0.means"),
    ):
        answer = post(client, f"{place}/answers", said)
        assert (*refusal(answer), answer.json()["error"]["field"]) == (422, "invalid", field)
    assert client.get(place).json() == before


def test_a_file_is_cut_anew_or_not_at_all(client: Client):
    place = send(client)
    cut = post(client, f"{place}/cut", {"separator": "|"}).json()
    assert len(cut["columns"]) == 1
    assert "roles" in cut["questions"]
    assert len(post(client, f"{place}/cut", {}).json()["columns"]) == 3
    too_far = post(client, f"{place}/cut", {"n_before": 20})
    assert refusal(too_far) == (422, "no_rows")
    assert "pass over fewer" in too_far.json()["error"]["message"]
    odd = send(client, FILE if len(FILE) % 2 else FILE + "\n")
    assert refusal(post(client, f"{odd}/cut", {"encoding": "utf-16"}))[0] == 422
    assert client.get(odd).status_code == 200


def test_a_file_is_discarded(client: Client):
    place = send(client)
    assert client.delete(place).status_code == 204
    assert not UploadDraft.objects.exists()


def test_a_mapping_is_kept_renamed_found_again_and_forgotten(client: Client, member: Membership):
    place = send(client)
    draft_id = client.get(place).json()["draft_id"]
    kept = post(client, MAPPINGS, {"draft_id": draft_id, "name": "Heft", "slug": member.club.slug})
    assert kept.status_code == 201
    assert (kept.json()["name"], kept.json()["club"]["name"]) == ("Heft", "Riverbank")
    assert {"role": "time", "number": 2, "name": "took"} in kept.json()["columns"]
    one = f"{MAPPINGS}/{kept.json()['id']}"
    assert post(client, f"{one}/name", {"name": "Sheet"}).json()["name"] == "Sheet"
    assert client.get(send(client, FILE + "\n")).json()["kept_name"] == "Sheet"
    post(client, MAPPINGS, {"draft_id": draft_id, "name": "Taken", "slug": member.club.slug})
    assert refusal(post(client, f"{one}/name", {"name": "Taken"})) == (409, "conflict")
    assert client.delete(one).status_code == 204
    assert [line["name"] for line in client.get(MAPPINGS).json()] == ["Taken"]


def test_a_mapping_that_leaves_something_open_is_not_kept(client: Client):
    place = send(client)
    draft = post(client, f"{place}/answers", {"roles": ["scramble", None, None]}).json()
    refused = post(client, MAPPINGS, {"draft_id": draft["draft_id"], "name": "Heft"})
    assert (*refusal(refused), refused.json()["error"]["field"]) == (422, "mapping_open", "roles")
    foreign = {"draft_id": draft["draft_id"], "name": "Heft", "slug": make_club().slug}
    post(client, f"{place}/answers", {"roles": ["scramble", "time", None]})
    assert refusal(post(client, MAPPINGS, foreign)) == (404, "not_found")
    assert not KeptMapping.objects.exists()


def test_a_word_of_any_length_can_be_answered(client: Client):
    word = "late " * 500 + "again"
    place = send(client, FILE.replace("late", f" {word} "))
    asked = post(client, f"{place}/answers", {"roles": ROLES}).json()
    assert asked["words"] == ["fine", word]
    words = [{"word": one, "means": ""} for one in asked["words"]]
    assert post(client, f"{place}/answers", {"penalties": words}).json()["questions"] == {}


def test_words_of_other_files_give_way_to_those_of_this_one(client: Client):
    """A mapping has room for so many words, and what is said now goes first."""
    place = send(client)
    post(client, f"{place}/answers", {"roles": ROLES})
    draft = UploadDraft.objects.get()
    draft.mapping |= {"penalties": [[f"word {n}", ""] for n in range(MAX_WORDS)]}
    draft.save()
    told = post(client, f"{place}/answers", {"penalties": WORDS}).json()
    assert len(told["mapping"]["penalties"]) == MAX_WORDS
    assert told["questions"] == {}
