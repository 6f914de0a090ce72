"""JSON Schema of the shop's files, so that any editor completes and checks them."""

from typing import Any, Literal

from kiosk.shop.procedure import Procedure
from kiosk.shop.shop import ShopFile

SchemaName = Literal["procedure", "shop"]


def json_schema(name: SchemaName) -> dict[str, Any]:
    """The schema of a procedure file or of shop.yaml (JSON Schema 2020-12)."""
    model = Procedure if name == "procedure" else ShopFile
    schema = _as_written(model.model_json_schema())
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _as_written(schema: Any) -> Any:
    """Allow a scalar to be written as a number or as text: ``5/32``, ``30 min`` and ``1.20`` are all meant.

    The kiosk reads every scalar as text; an editor's YAML reader does not, and would mark these as wrong.
    """
    if isinstance(schema, list):
        return [_as_written(item) for item in schema]
    if not isinstance(schema, dict):
        return schema
    written = {key: _as_written(value) for key, value in schema.items()}
    if written.get("type") in ("string", "number", "integer") and "enum" not in written:
        written["type"] = ["string", "number", "boolean"]
        for limit in ("format", "minimum", "maximum", "exclusiveMinimum"):
            written.pop(limit, None)
    return written
