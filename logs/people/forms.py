"""Forms about people: joining, inviting, erasing."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth import authenticate, get_user_model, password_validation
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from logs.people.services.invitations import MAX_DAYS, MAX_USES


class _Form(forms.Form):
    """A form whose fields tell where their errors stand."""

    def add_refusal(self, error: ValidationError) -> None:
        """Show what a service refused, each message at its field."""
        for field, texts in error.message_dict.items():
            self.add_error(field if field in self.fields else None, texts)


class DisplayNameForm(_Form):
    """The name a club knows somebody by."""

    display_name = forms.CharField(
        label="Name in the club",
        max_length=60,
        help_text="What the club calls you. A nickname is fine.",
        widget=forms.TextInput(attrs={"autocomplete": "nickname"}),
    )


class SignUpForm(DisplayNameForm):
    """A new account, made with an invitation."""

    field_order = ("username", "password", "password_again", "display_name")

    username = forms.CharField(
        label="User name",
        max_length=150,
        help_text="You sign in with it; nobody else sees it. It need not be your real name: letters,"
        " digits and @ . + - _ will do. Write it down.",
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    password = forms.CharField(
        strip=False,
        help_text=" ".join(password_validation.password_validators_help_texts()[:1]),
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )
    password_again = forms.CharField(
        label="Password once more",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
    )

    def clean(self) -> dict[str, Any]:
        """Compare the two passwords."""
        values = super().clean() or {}
        if values.get("password") and values.get("password_again") not in {
            None,
            values["password"],
        }:
            self.add_error("password_again", "The two passwords are not the same.")
        return values


class InvitationForm(_Form):
    """An invitation to make."""

    role = forms.ChoiceField(choices=(("member", "members"), ("coach", "coaches")))
    max_uses = forms.IntegerField(min_value=1, max_value=MAX_USES, initial=1)
    days = forms.IntegerField(min_value=1, max_value=MAX_DAYS, initial=14)
    mail_to = forms.EmailField(
        label="Mail it to",
        required=False,
        help_text="May stay empty. The address is used once and not kept.",
        widget=forms.EmailInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any) -> None:
        super().__init__(*args)
        if not settings.SENDS_MAIL:
            del self.fields["mail_to"]


class EraseForm(_Form):
    """Erasing one's account: the user name typed out, and the password."""

    typed = forms.CharField(
        label="Your user name",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    password = forms.CharField(
        label="Your password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )

    def __init__(self, request: HttpRequest, *args: Any) -> None:
        super().__init__(*args)
        self.request = request

    def clean_typed(self) -> str:
        """Make sure that it is the name of the account that is signed in."""
        typed: str = self.cleaned_data["typed"]
        if typed.casefold() != self.request.user.get_username().casefold():
            raise ValidationError("This is not the user name you are signed in with.")
        return typed

    def clean(self) -> dict[str, Any]:
        """Try the password, as signing in does: wrong ones are counted and shut the door."""
        values = super().clean() or {}
        if self.errors:
            return values
        found = authenticate(
            self.request,
            username=self.request.user.get_username(),
            password=values["password"],
        )
        assert found is None or isinstance(found, get_user_model())
        if found is None:
            self.add_error("password", "This is not your password.")
        return values
