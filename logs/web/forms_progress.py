"""The form of the Progress page: a mark on the axis of one's times."""

from django import forms

from logs.services.time_marks import MAX_WORD


class TimeMarkForm(forms.Form):
    """A day and a word."""

    day = forms.DateField(
        label="Day",
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"invalid": "Give the day as year-month-day, such as 2026-03-01."},
    )
    word = forms.CharField(
        label="What happened",
        max_length=MAX_WORD,
        widget=forms.TextInput(attrs={"placeholder": "new cube"}),
    )
