"""A member's log: the actor's own, or one that is shown to them."""

from django.utils import timezone
from rest_framework import serializers
from rest_framework.request import Request

from logs.cases.api import CaseField
from logs.http.api import CREATED, EMPTY, MANAGE, ApiView, Values, answers
from logs.http.pages import Made, SentReason, actor_of
from logs.next_up.order import OverrideKind
from logs.next_up.report import NextUpReport, next_up_report
from logs.next_up.services import MAX_PLACE, override_set, override_withdraw
from logs.people.services.trail import looked


class NextUp(ApiView):
    """What a member learns next."""

    @answers(NextUpReport)
    def get(self, request: Request, membership_id: int | None = None) -> NextUpReport:
        """The cases to learn next, with why each stands where it does."""
        report = next_up_report(
            actor=actor_of(request), membership_id=membership_id, now=timezone.now()
        )
        looked(request, "next_up", [report.whose.membership_id])
        return report


class SentWord(SentReason):
    """A coach's word on a case of a member's list."""

    case = CaseField(help_text="Such as oll-27.")
    kind = serializers.ChoiceField(
        [kind.value for kind in OverrideKind], help_text="What is said of the case."
    )
    place = serializers.IntegerField(
        min_value=1, max_value=MAX_PLACE, default=None, help_text="For a move alone."
    )


class Words(ApiView):
    """A coach's words on a member's list."""

    @answers(Made, scope=MANAGE, body=SentWord, status=CREATED)
    def post(self, request: Request, membership_id: int, sent: Values) -> Made:
        """Pin, skip or move a case on a member's list, with a reason."""
        word = override_set(
            actor=actor_of(request),
            membership_id=membership_id,
            case=sent["case"],
            kind=OverrideKind(sent["kind"]),
            place=sent["place"],
            reason=sent["reason"],
            now=timezone.now(),
        )
        return Made(word.pk)


class Word(ApiView):
    """One word on a member's list."""

    @answers(None, scope=MANAGE, status=EMPTY)
    def delete(self, request: Request, membership_id: int, override_id: int) -> None:
        """Take a word on a member's list back."""
        override_withdraw(
            actor=actor_of(request),
            membership_id=membership_id,
            override_id=override_id,
            now=timezone.now(),
        )
