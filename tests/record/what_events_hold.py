"""What each kind of event holds, field by field: the format of the record, as JSON Schema (json-schema.org).

    .venv/bin/python -m tests.record.what_events_hold     # renew it, then read the difference

A line may come, with a default that means what its absence meant. A line that is changed or goes is a record
that cannot be read any more, unless an upcaster lifts what was written before.
"""

import json
from collections.abc import Iterator
from dataclasses import MISSING, fields
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter

from kiosk.record.events import KINDS

KEPT = Path(__file__).parent / "stored" / "what_events_hold.txt"
_WORDS = ("title", "description")


def what_events_hold() -> str:
    """The text."""
    _, schema = TypeAdapter.json_schemas(
        [(kind, "validation", TypeAdapter(body)) for kind, body in KINDS.items()]
    )
    models = schema["$defs"]
    for body in KINDS.values():  # what a schema does not say: a default that is made anew each time
        for one in fields(body):
            if one.default_factory is not MISSING:
                models[body.__name__]["properties"][one.name]["default"] = one.default_factory()
    return "".join(f"{line}\n" for name, one in models.items() for line in _lines(name, one))


def _lines(name: str, model: dict[str, Any]) -> Iterator[str]:
    yield f"{name} {_bare({key: one for key, one in model.items() if key not in ('properties', 'required')})}"
    for field, one in model["properties"].items():
        yield f"    {field}{'' if field in model.get('required', ()) else ' (may be absent)'} {_bare(one)}"


def _bare(schema: dict[str, Any]) -> str:
    return json.dumps({key: one for key, one in schema.items() if key not in _WORDS}, sort_keys=True)


if __name__ == "__main__":
    KEPT.write_text(what_events_hold(), encoding="utf-8")
