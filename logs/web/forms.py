"""The form that takes a log: a file or pasted text, one of the two."""

from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile

PASTED = "pasted log"


class LogForm(forms.Form):
    """A log to add. After validation ``content`` and ``file_name`` are what to import."""

    file = forms.FileField(required=False, allow_empty_file=True, max_length=200)
    text = forms.CharField(
        required=False, strip=False, widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false"})
    )

    content: bytes
    file_name: str

    def clean(self) -> dict[str, Any]:
        """Take the one that was given.

        Raises:
            ValidationError: Neither was, or both were.
        """
        values = super().clean() or {}
        file: UploadedFile[bytes] | None = values.get("file")
        text: str = values.get("text") or ""
        if self.errors:
            return values
        if file is not None and text.strip():
            raise forms.ValidationError(
                "There is a file and pasted text. Send one at a time, so that each is counted."
            )
        if file is None and not text.strip():
            raise forms.ValidationError("Choose a file, drop one, or paste the text of a log.")
        self.content = file.read() if file is not None else text.encode()
        self.file_name = (file.name if file is not None else None) or PASTED
        return values
