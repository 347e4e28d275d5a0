"""How the schema is drawn from the views."""

import re
from typing import Any

from drf_spectacular.openapi import AutoSchema


class Schema(AutoSchema):
    """Names operations by their method and address, which no two share."""

    def get_operation_id(self) -> str:
        """Such as ``get_members_membership_id_solves``."""
        place = self.path.removeprefix("/api/v1/")
        return "_".join([self.method.lower(), *re.findall(r"\w+", place)])

    def get_description(self) -> str:  # type: ignore[override]  # as the class above has it
        """The method's own words."""
        words = getattr(self.view, self.method.lower()).__doc__ or ""
        return " ".join(words.split())

    def get_tags(self) -> list[str]:
        """The first part of the address."""
        return [self.path.removeprefix("/api/v1/").partition("/")[0]]

    def get_operation(self, *args: Any, **kwargs: Any) -> dict[str, Any] | None:
        """The operation, with the scope that a token needs for it."""
        operation: dict[str, Any] | None = super().get_operation(*args, **kwargs)
        if operation is not None:
            operation["x-scope"] = getattr(self.view, self.method.lower()).scope
        return operation
