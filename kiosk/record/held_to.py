"""What pydantic holds a field of an event to, said in its annotation.

As pydantic's own ``Field`` and ``AfterValidator``, but pydantic is imported when an event is first read or
written: a start reads none, and pydantic alone would be a third of it.
"""

from collections.abc import Mapping
from datetime import datetime, timezone
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler
    from pydantic_core import CoreSchema


class Rules:
    """Rules of a type by the names that they have in pydantic's core schema: ``min_length``, ``ge``."""

    def __init__(self, **rules: object) -> None:
        self._rules: Mapping[str, object] = rules

    def __get_pydantic_core_schema__(self, source: Any, handler: "GetCoreSchemaHandler") -> "CoreSchema":
        schema: Any = {**handler(source), **self._rules}
        return schema  # type: ignore[no-any-return]


class OfPython:
    """A moment in a time zone of Python's own, not in pydantic's: so it is kept in the snapshot."""

    def __get_pydantic_core_schema__(self, source: Any, handler: "GetCoreSchemaHandler") -> "CoreSchema":
        from pydantic_core import core_schema

        return core_schema.no_info_after_validator_function(_of_python, handler(source))


def _of_python(moment: datetime) -> datetime:
    ahead = moment.utcoffset()
    return moment if ahead is None else moment.replace(tzinfo=timezone(ahead))
