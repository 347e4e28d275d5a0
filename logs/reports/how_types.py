"""What a worked example on the page of explanations is."""

from collections.abc import Mapping

Example = Mapping[str, object]
"""The figures of a worked example by the names that its template uses: text, numbers, rows."""
