"""Turn texts: every accepted form, round trips, bounds, and refusals that name the place."""

from collections.abc import Callable

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cubecore.errors import NotationError
from cubecore.notation import (
    MAX_DEPTH,
    MAX_REPEAT,
    MAX_TEXT,
    MAX_TOKENS,
    PRIMES,
    Token,
    count_metrics,
    format_tokens,
    format_turns,
    parse_script,
    parse_tokens,
)
from tests.cubecore import twin
from tests.cubecore.solves import outer

BASES = "URFDLBurfdlbMESxyz"
SUFFIX = {1: "", 2: "2", 3: "'"}
tokens = st.builds(Token, st.sampled_from(BASES), st.integers(1, 3), st.just(1))
plain_texts = st.lists(
    st.sampled_from([base + suffix for base in BASES for suffix in SUFFIX.values()]), max_size=30
).map(" ".join)


def meant(text: str) -> list[tuple[str, int]]:
    """The tokens of ``text`` without their columns."""
    return [(token.base, token.quarter_turns) for token in parse_tokens(text)]


def refusal(text: str) -> NotationError:
    with pytest.raises(NotationError) as caught:
        parse_tokens(text)
    return caught.value


@given(st.lists(tokens))
def test_formatted_tokens_are_read_back(written):
    assert meant(format_tokens(written)) == [(t.base, t.quarter_turns) for t in written]


@given(plain_texts)
def test_a_plain_text_is_its_own_normal_spelling(text):
    assert format_tokens(parse_tokens(text)) == text


@st.composite
def spellings(draw: st.DrawFn) -> tuple[str, list[tuple[str, int]]]:
    """A text in any accepted spelling, and what it means."""
    pieces: list[str] = []
    meaning = []
    for _ in range(draw(st.integers(1, 12))):
        base = draw(st.sampled_from(BASES))
        amount = draw(st.integers(1, 3))
        names = [base, base.upper() + "w", f"2{base.upper()}w"] if base in "urfdlb" else [base]
        if pieces and pieces[-1] == "":
            names = [name for name in names if name[0] != "2"]  # it would count the turn before
        name = draw(st.sampled_from(names))
        prime = draw(st.sampled_from(PRIMES))
        ways = {1: [""], 2: ["2", "2" + prime], 3: ["3", prime]}
        pieces.append(name + draw(st.sampled_from(ways[amount])))
        pieces.append(draw(st.sampled_from([" ", "", "\t", "\n", "  ", " // said (R2 ? \n"])))
        meaning.append((base, amount))
    return "".join(pieces), meaning


@given(spellings())
def test_every_spelling_of_a_token_means_the_same(spelled):
    text, meaning = spelled

    assert meant(text) == meaning


@st.composite
def grouped(draw: st.DrawFn, depth: int = 3) -> tuple[str, str]:
    """A text with groups and repeats, and the same text written out."""
    short, long = [], []
    for _ in range(draw(st.integers(0, 3))):
        if depth and draw(st.booleans()):
            inner_short, inner_long = draw(grouped(depth - 1))
            count = draw(st.integers(1, 4))
            written = draw(st.sampled_from([str(count), f"x{count}"])) if count > 1 else ""
            short.append(f"({inner_short}){written}")
            long += [inner_long] * count
        else:
            token = draw(st.sampled_from(BASES)) + draw(st.sampled_from(["", "2", "'"]))
            short.append(token)
            long.append(token)
    return " ".join(short), " ".join(long)


@given(grouped())
def test_groups_mean_what_they_are_written_out(both):
    short, long = both

    assert meant(short) == meant(long)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        # WCA Regulations, Article 12: face turns, wide turns, rotations, ' and 2.
        ("R U' F2", "R U' F2"),
        ("Rw Uw' Fw2", "r u' f2"),
        ("x y' z2", "x y' z2"),
        # Common practice, no source: all below.
        ("r u f l d b M E S", "r u f l d b M E S"),
        ("R2' Rw2' M2'", "R2 r2 M2"),
        ("R3 Rw3 x3", "R' r' x'"),
        ("R\u2019 U\u2032 F\u00b4 D` L\u02bc B\u2018", "R' U' F' D' L' B'"),
        ("(R U R' U')2", "R U R' U' R U R' U'"),
        ("(R U)x2 y", "R U R U y"),
        ("(R U)x y", "R U x y"),
        ("(R U) x2", "R U x2"),
        ("((R)2 U)2", "R R U R R U"),
        ("R // cross R2 (\nU", "R U"),
        ("()", ""),
        ("RUR'U'", "R U R' U'"),
        # WCA Regulations, Article 12 (nRw, n optional and 2 on this puzzle; from memory).
        ("2Rw 2Uw' 2Fw2", "r u' f2"),
        ("R2Rw (U) 2Lw", "R2 r U l"),
        ("(R U)2Rw", "R U R U r"),  # the count stands behind its group
        ("(R U)x' F", "R U x' F"),
        # A comment ends with its line, whichever sign ends it (those of str.splitlines).
        ("R // U\rF", "R F"),
        ("R // U\r\nF", "R F"),
        ("R // U\u2028F // D\x85B", "R F B"),
    ],
)
def test_an_accepted_form_is_read(text, expected):
    assert format_tokens(parse_tokens(text)) == expected


@pytest.mark.parametrize(
    ("text", "code", "column", "token", "said"),
    [
        ("R U Q", "unknown_token", 5, "Q", "one of the turns"),
        ("R4", "unknown_amount", 2, "4", "2 or 3"),
        ("U R1", "unknown_amount", 3, "R1", "2, 3 or '"),
        ("U R22", "unknown_amount", 4, "22", "2 or 3"),
        ("R0", "unknown_amount", 2, "0", "2 or 3"),
        ("U R3'", "unknown_amount", 3, "R3'", "2, 3 or '"),
        ("R111", "number_too_long", 2, "111", "2 or 3"),
        ("R''", "unknown_token", 3, "'", "one of the turns"),
        ("R w", "unknown_token", 3, "w", "one of the turns"),
        ("Mw", "unknown_token", 2, "w", "one of the turns"),
        ("rw", "unknown_token", 2, "w", "one of the turns"),
        ("U (R", "open_group", 3, "(", "closes this group"),
        ("U R)", "unopened_group", 4, ")", "before this"),
        ("(R)100", "number_too_long", 4, "100", "from 1 to 99"),
        ("(R)0", "unknown_amount", 4, "0", "from 1 to 99"),
        ("R / U", "unknown_token", 3, "/", "'//'"),
        ("R\u0662", "unknown_token", 2, "\u0662", "one of the turns"),
        ("U 3Rw", "unknown_block", 3, "3Rw", "Rw or 2Rw for a block of two layers"),
        ("2-3Rw'", "unknown_block", 1, "2-3Rw'", "M E S for a slice"),
        ("2R2", "unknown_block", 1, "2R2", "M E S for a slice"),
        ("2r", "unknown_block", 1, "2r", "x y z for all three"),
        ("R 2Mw", "unknown_block", 3, "2Mw", "block of two layers"),
        ("(R U)x2'", "primed_group", 6, "x2'", "a space before a rotation"),
        ("(R U)2'", "primed_group", 6, "2'", "written out"),
        ("U (R U)\u2019", "primed_group", 8, "\u2019", "written out"),
    ],
)
def test_a_refusal_names_column_token_and_what_was_expected(text, code, column, token, said):
    error = refusal(text)

    assert (error.column, error.token) == (column, token)
    assert error.code == code
    assert said in error.message
    assert f"Column {column}" in error.message
    assert repr(token) in error.message


@given(plain_texts, plain_texts, st.sampled_from("QqZ#&?;:-_1=w"))
def test_the_first_character_that_is_no_notation_is_pointed_at(before, after, bad):
    error = refusal(f"{before} {bad} {after}")

    assert error.column == len(before) + 2
    assert error.token == bad
    assert error.code == "unknown_token"


def test_a_text_at_the_bound_is_read_and_one_longer_is_refused_unread():
    comment = "//" + "?" * (MAX_TEXT - 2)

    assert parse_tokens(comment) == ()
    for read in (parse_tokens, parse_script):
        with pytest.raises(NotationError, match=f"{MAX_TEXT + 1} characters") as caught:
            read(comment + "?")
        assert caught.value.code == "text_too_long"
        assert caught.value.column == MAX_TEXT + 1


def test_as_many_turns_as_the_bound_are_read_and_one_more_is_refused():
    assert len(parse_tokens("R" * MAX_TOKENS)) == MAX_TOKENS
    assert len(parse_script("R " * MAX_TOKENS).turns) == MAX_TOKENS
    assert refusal("R" * (MAX_TOKENS + 1)).code == "too_many_turns"
    with pytest.raises(NotationError, match="more than"):
        parse_script("R " * (MAX_TOKENS + 1))
    assert refusal("((((R)99)99)99)99").code == "too_many_turns"


def test_groups_may_be_nested_so_deep_and_no_deeper():
    assert meant("(" * MAX_DEPTH + "R" + ")" * MAX_DEPTH) == [("R", 1)]
    error = refusal("(" * (MAX_DEPTH + 1) + "R" + ")" * (MAX_DEPTH + 1))
    assert (error.code, error.column) == ("deep_group", MAX_DEPTH + 1)
    assert len(parse_tokens(f"(R){MAX_REPEAT}")) == MAX_REPEAT


@given(plain_texts)
def test_a_script_makes_the_outer_turns_a_sensor_feels(text):
    script = parse_script(text)

    assert format_turns(script.turns) == outer(text)
    assert script.n_tokens == len(text.split())
    assert script.n_layer_tokens == sum(word[0] not in "xyz" for word in text.split())
    held = twin.after(twin.SOLVED, text)
    assert "".join(face.name for face in script.hold) == held[4::9]


@given(plain_texts)
def test_a_script_says_which_token_made_each_turn(text):
    script = parse_script(text)
    words = text.split()
    layer_words = [word for word in words if word[0] not in "xyz"]

    assert len(script.all_tokens) == len(script.layer_tokens) == len(script.turns)
    for one, other in zip(script.all_tokens, script.layer_tokens, strict=True):
        assert words[one] == layer_words[other]
    assert list(script.layer_tokens) == sorted(script.layer_tokens)


@given(plain_texts)
def test_a_script_is_the_same_in_a_spelling_that_needs_the_scanner(text):
    plain, scanned = parse_script(text), parse_script(f"(({text})) // done")

    assert scanned.turns == plain.turns
    assert list(scanned.layer_tokens) == list(plain.layer_tokens)
    assert list(scanned.all_tokens) == list(plain.all_tokens)
    assert scanned[3:] == plain[3:]


SOUP = st.text(alphabet="RUFrMxyz23'\u2019()() /w9- \n\r\x85", max_size=25) | grouped().map(
    lambda both: both[0]
)


@settings(max_examples=400)
@given(SOUP)
@example("(R U) x2")
@example("(R U)x2")
@example("(R U)x (F)2")
@example("R // (\nU)")
@example("R(U)'")
@example("(R (U) F)")
@example("R // U\rF")
@example("R 2Rw' (U)2 2Fw")
@example("(R) 2Rw")
@example("(R U)x2'")
def test_a_text_is_read_or_refused_the_same_word_by_word_as_character_by_character(text):
    def by_character() -> str:
        return outer(format_tokens(parse_tokens(text)))

    def by_word() -> str:
        return format_turns(parse_script(text).turns)

    assert answer_or_refusal(by_word) == answer_or_refusal(by_character)


def answer_or_refusal(read: Callable[[], str]) -> str | tuple[str, int | None, str | None]:
    try:
        return read()
    except NotationError as error:
        return error.code, error.column, error.token


@pytest.mark.parametrize(
    ("text", "htm", "qtm", "stm", "etm"),
    [
        # WCA Regulations 12a: an outer block turn is one (HTM); the other metrics are common
        # practice, no source.
        ("R U R' U'", 4, 4, 4, 4),
        ("R2 U", 2, 3, 2, 2),
        ("M2 U M2", 5, 9, 3, 3),
        ("r U2 x y'", 2, 3, 2, 4),
        ("", 0, 0, 0, 0),
    ],
)
def test_the_four_metrics(text, htm, qtm, stm, etm):
    assert count_metrics(parse_tokens(text)) == (htm, qtm, stm, etm)
