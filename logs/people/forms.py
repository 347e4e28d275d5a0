"""Forms about people: joining, inviting, erasing."""

from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth import password_validation
from django.core.exceptions import ValidationError
from django.http import HttpRequest

from clubsite.accounts.names import caseless_name
from clubsite.accounts.throttle import password_owner
from logs.limits import (
    CONTACT,
    DISPLAY_NAME,
    INVITATION_CODE,
    INVITATION_DAYS,
    INVITATION_USES,
)
from logs.people.models import Visibility


class _Form(forms.Form):
    """A form whose fields tell where their errors stand."""

    def add_refusal(self, error: ValidationError) -> None:
        """Show what a service refused, each message at its field."""
        for field, texts in error.message_dict.items():
            self.add_error(field if field in self.fields else None, texts)


class JoinForm(_Form):
    """How a club knows somebody, and their word on who sees their log there."""

    display_name = forms.CharField(
        label="Name in the club",
        max_length=DISPLAY_NAME,
        help_text="What the club calls you. A nickname is fine.",
        widget=forms.TextInput(attrs={"autocomplete": "nickname"}),
    )
    visibility = forms.ChoiceField(
        choices=Visibility.choices,
        error_messages={"required": "Choose one of the three. You can change it at any time."},
    )


class _NewPasswordForm(_Form):
    """A new password, written twice."""

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


class SignUpForm(_NewPasswordForm, JoinForm):
    """A new account, made with an invitation."""

    field_order = ("username", "password", "password_again", "display_name", "visibility")

    username = forms.CharField(
        label="User name",
        max_length=150,
        help_text="You sign in with it; nobody else sees it. It need not be your real name: letters,"
        " digits and @ . + - _ will do. Write it down.",
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )


class PasswordCodeForm(_NewPasswordForm):
    """A new password, chosen with a code of the club's owner."""

    field_order = ("username", "code", "password", "password_again")

    username = forms.CharField(
        label="User name",
        max_length=150,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
    code = forms.CharField(
        label="Code from the owner of your club",
        max_length=INVITATION_CODE,
        help_text="Twelve letters and digits. It works once, for an hour.",
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}
        ),
    )


class ContactForm(_Form):
    """Who answers for a club."""

    name = forms.CharField(label="Name", max_length=CONTACT, required=False)
    reach = forms.CharField(
        label="How to reach them",
        max_length=CONTACT,
        required=False,
        help_text="A telephone number or an e-mail address.",
    )


class InvitationForm(_Form):
    """An invitation to make."""

    role = forms.ChoiceField(choices=(("member", "members"), ("coach", "coaches")))
    max_uses = forms.IntegerField(
        min_value=INVITATION_USES[0], max_value=INVITATION_USES[1], initial=1
    )
    days = forms.IntegerField(
        min_value=INVITATION_DAYS[0], max_value=INVITATION_DAYS[1], initial=14
    )
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


NOT_YOURS = "This is not your password."


def own_password() -> forms.CharField:
    """The field for the password of who is signed in."""
    return forms.CharField(
        label="Your password",
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "current-password"}),
    )


def is_password(request: HttpRequest, password: str) -> bool:
    """Whether it is the password of who is signed in; wrong ones are counted as at the door."""
    name = request.user.get_username()
    return password_owner(request, name=name, password=password) is not None


class EraseForm(_Form):
    """Erasing one's account: the user name typed out, and the password."""

    typed = forms.CharField(
        label="Your user name",
        widget=forms.TextInput(attrs={"autocomplete": "off", "autocapitalize": "none"}),
    )
    password = own_password()

    def __init__(self, request: HttpRequest, *args: Any) -> None:
        super().__init__(*args)
        self.request = request

    def clean_typed(self) -> str:
        """Make sure that it is the name of the account that is signed in."""
        typed: str = self.cleaned_data["typed"]
        if caseless_name(typed) != caseless_name(self.request.user.get_username()):
            raise ValidationError("This is not the user name you are signed in with.")
        return typed

    def clean(self) -> dict[str, Any]:
        """Try the password, as signing in does: wrong ones are counted and shut the door."""
        values = super().clean() or {}
        if not self.errors and not is_password(self.request, values["password"]):
            self.add_error("password", NOT_YOURS)
        return values


class MailAddressForm(_Form):
    """An e-mail address that is to be kept, and the password, for it opens the account."""

    mail_address = forms.EmailField(
        label="E-mail address",
        max_length=254,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )
    password = own_password()

    def __init__(self, request: HttpRequest, *args: Any) -> None:
        super().__init__(*args)
        self.request = request

    def clean(self) -> dict[str, Any]:
        """Try the password, as signing in does."""
        values = super().clean() or {}
        if not self.errors and not is_password(self.request, values["password"]):
            self.add_error("password", NOT_YOURS)
        return values


class PasswordMailForm(_Form):
    """Whose password is forgotten."""

    typed = forms.CharField(
        label="User name or e-mail address",
        max_length=254,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
    )
