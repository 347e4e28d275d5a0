"""The form that says which column of a file is what, built for one file."""

from collections.abc import Iterable
from typing import Any

from django import forms
from django.http import QueryDict

from cubecore.rows import Penalty
from logs.intake.mapping import (
    DECIMAL_MARKS,
    ENCODINGS,
    MAX_BEFORE,
    ROLE_WORDS,
    SEPARATORS,
    TURN_SEPARATORS,
    DateOrder,
    Meaning,
    Role,
    TurnTimes,
    Unit,
    meanings,
)
from logs.solves.report.mapping import MappingReport

ALONE = "me"
"""Kept for the member alone, in the choice of clubs."""


_NOT_READ = ("", "not read")


_ASK = ("", "– choose –")  # noqa: RUF001 - a dash on both sides


_UNITS = (
    (Unit.SECONDS.value, "seconds, minutes before a colon: 12.34, 1:02.34, 0:01:02.34"),
    (Unit.CENTISECONDS.value, "whole hundredths of a second: 1234 is 12.34"),
    (Unit.MILLISECONDS.value, "whole milliseconds: 12340 is 12.34"),
)


_TURN_UNITS = (
    (Unit.MILLISECONDS.value, "milliseconds"),
    (Unit.SECONDS.value, "seconds"),
    (Unit.CENTISECONDS.value, "hundredths of a second"),
)


_DATES = (
    (DateOrder.DAY_FIRST.value, "the day first: 4/3/2026 is 4 March"),
    (DateOrder.MONTH_FIRST.value, "the month first: 4/3/2026 is 3 April"),
    (DateOrder.YEAR_FIRST.value, "the year first: 2026-03-04"),
    (DateOrder.UNIX_SECONDS.value, "a count of seconds since 1970"),
    (DateOrder.UNIX_MS.value, "a count of milliseconds since 1970"),
)


_TURN_TIMES = (
    (TurnTimes.ENDS.value, "when each turn ended, counted from the start"),
    (TurnTimes.GAPS.value, "how long each turn took, counted from the one before"),
)


_IN_TIME = (("no", "no, they come on top"), ("yes", "yes, they are in it"))


_MEANINGS = (_ASK, ("none", "no penalty"), ("+2", "+2"), ("DNF", "DNF"))


_PENALTIES = {"none": Penalty.NONE, "+2": Penalty.PLUS_TWO, "DNF": Penalty.DNF}


FILE_FIELDS = ("encoding", "separator", "n_before", "has_header", "table")


class MappingForm(forms.Form):
    """How a file is to be read. What its columns do not ask for has no field."""

    encoding = forms.ChoiceField(
        label="Its letters are written in", choices=tuple(ENCODINGS.items())
    )
    separator = forms.ChoiceField(
        label="Between two cells stands",
        choices=[(str(place), words) for place, words in enumerate(SEPARATORS.values())],
    )
    n_before = forms.IntegerField(
        label="Rows above the names, to pass over", min_value=0, max_value=MAX_BEFORE
    )
    has_header = forms.BooleanField(label="The first row names the columns", required=False)
    name = forms.CharField(label="Keep these choices as", required=False, max_length=60)
    keep_for = forms.ChoiceField(label="For", required=False)

    def __init__(self, report: MappingReport, data: QueryDict | None = None) -> None:
        self.report = report
        mapping = report.mapping
        super().__init__(data, initial=self._initial())
        if report.tables:
            names = [(name, name) for name in report.tables]
            self.fields["table"] = _choice("The solves are in", names)
            for field_name in ("encoding", "separator"):
                del self.fields[field_name]
        for column in report.columns:
            field = _choice(_label(column.index, column.name), _roles(), required=False)
            self.fields[f"column-{column.index}"] = field
        if Role.TIME in mapping.roles:
            self.fields["time_unit"] = _radio("What the times count", _UNITS)
            self.fields["decimal_mark"] = _choice("Decimals begin with a", DECIMAL_MARKS.items())
        if Role.DONE_AT in mapping.roles:
            self.fields["date_order"] = _radio("How the dates are written", _DATES)
        for index, word in enumerate(report.words):
            self.fields[f"word-{index}"] = _choice(f"“{word}” means", _MEANINGS, required=False)
        if report.words or report.has_plus_two:
            self.fields["is_plus_two_in_time"] = _radio(
                "Are the two seconds of a +2 in the time already?", _IN_TIME
            )
        if {Role.TURN_MS, Role.MARK_MS} & {*mapping.roles}:
            self.fields["turn_times"] = _radio("What turn times are", _TURN_TIMES)
            self.fields["turn_unit"] = _choice("They count", _TURN_UNITS)
            self.fields["turn_separator"] = _choice(
                "Between two of them stand",
                [(str(place), words) for place, words in enumerate(TURN_SEPARATORS.values())],
            )
        keep_for = self.fields["keep_for"]
        assert isinstance(keep_for, forms.ChoiceField)
        clubs = [(club.slug, club.name) for club in report.clubs]
        keep_for.choices = [*clubs, (ALONE, "me alone")]

    def _initial(self) -> dict[str, Any]:
        mapping = self.report.mapping
        meanings = {meaning.word.casefold(): meaning.means for meaning in mapping.penalties}
        in_time = {None: "", True: "yes", False: "no"}[mapping.is_plus_two_in_time]
        initial: dict[str, Any] = {
            "encoding": mapping.encoding,
            "separator": str(list(SEPARATORS).index(mapping.separator)),
            "n_before": mapping.n_before,
            "table": mapping.table,
            "has_header": mapping.has_header,
            "time_unit": mapping.time_unit,
            "decimal_mark": mapping.decimal_mark,
            "date_order": mapping.date_order,
            "is_plus_two_in_time": in_time,
            "turn_times": mapping.turn_times,
            "turn_unit": mapping.turn_unit,
            "turn_separator": str(list(TURN_SEPARATORS).index(mapping.turn_separator)),
            "name": self.report.kept_name,
        }
        for index, role in enumerate(mapping.roles):
            initial[f"column-{index}"] = role or ""
        for index, word in enumerate(self.report.words):
            initial[f"word-{index}"] = meanings[word] or "none" if word in meanings else ""
        return initial

    def file_choices(self) -> dict[str, Any]:
        """What the form says about the file as a whole, as `draft_guess` takes it."""
        choices = {
            field: self.cleaned_data[field] for field in FILE_FIELDS if field in self.cleaned_data
        }
        if "separator" in choices:
            choices["separator"] = list(SEPARATORS)[int(choices["separator"])]
        if choices.get("table", self.report.mapping.table) != self.report.mapping.table:
            return {"table": choices["table"]}  # the rows above are those of the other table
        return choices

    def is_other_file_shape(self) -> bool:
        """Whether something about the file as a whole was changed."""
        mapping = self.report.mapping
        choices = self.file_choices()
        return choices != {field: getattr(mapping, field) for field in choices}

    def roles(self) -> tuple[Role | None, ...]:
        """What each column holds."""
        chosen = [self.cleaned_data[f"column-{column.index}"] for column in self.report.columns]
        return tuple(Role(role) if role else None for role in chosen)

    def answers(self) -> dict[str, Any]:
        """Values of the mapping's other fields, as far as the form asks for them."""
        values = self.cleaned_data
        answers: dict[str, Any] = {}
        for field, kind in (("time_unit", Unit), ("date_order", DateOrder)):
            if field in values:
                answers[field] = kind(values[field]) if values[field] else None
        if "decimal_mark" in values:
            answers["decimal_mark"] = values["decimal_mark"]
        if "is_plus_two_in_time" in values:
            answers["is_plus_two_in_time"] = {"yes": True, "no": False}.get(
                values["is_plus_two_in_time"]
            )
        if "turn_times" in values:
            answers["turn_times"] = TurnTimes(values["turn_times"])
            answers["turn_unit"] = Unit(values["turn_unit"])
            answers["turn_separator"] = list(TURN_SEPARATORS)[int(values["turn_separator"])]
        if self.report.words:
            answers["penalties"] = self._penalties()
        return answers

    def _penalties(self) -> tuple[Meaning, ...]:
        words = self.report.words
        chosen = [(word, self.cleaned_data[f"word-{at}"]) for at, word in enumerate(words)]
        of_other_files = [
            meaning
            for meaning in self.report.mapping.penalties
            if meaning.word.casefold() not in words
        ]
        answered = [Meaning(word, _PENALTIES[means]) for word, means in chosen if means]
        return meanings(answered, of_other_files)

    def columns(self) -> list[tuple[forms.BoundField, Any]]:
        """The field of each column beside what the report shows of it."""
        return [(self[f"column-{column.index}"], column) for column in self.report.columns]

    def words(self) -> list[forms.BoundField]:
        """The fields of the penalty column's words."""
        return [self[f"word-{index}"] for index in range(len(self.report.words))]


def _label(index: int, name: str) -> str:
    return f"Column {index + 1}, “{name}”" if name else f"Column {index + 1}"


def _roles() -> Iterable[tuple[str, str]]:
    return [_NOT_READ, *((role.value, words) for role, words in ROLE_WORDS.items())]


def _choice(
    label: str, choices: Iterable[tuple[str, str]], *, required: bool = True
) -> forms.ChoiceField:
    return forms.ChoiceField(label=label, choices=list(choices), required=required)


def _radio(label: str, choices: Iterable[tuple[str, str]]) -> forms.ChoiceField:
    return forms.ChoiceField(
        label=label, choices=list(choices), required=False, widget=forms.RadioSelect
    )
