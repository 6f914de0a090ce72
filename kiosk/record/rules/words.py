"""The words of the time: a procedure's text is kept before anything is done by it."""

import hashlib
import json

from kiosk.record import events as e
from kiosk.record.context import Context
from kiosk.record.rules.door import Bodies
from kiosk.shop.procedure import Procedure


def digest_of(words: str) -> str:
    """A short name for a text; the same words always have the same."""
    return hashlib.sha256(words.encode()).hexdigest()[:16]


def words_of(procedure: Procedure) -> str:
    """A procedure as it is written, as JSON."""
    return json.dumps(procedure.as_written(), ensure_ascii=False, separators=(",", ":"))


def kept(context: Context, procedure: Procedure) -> tuple[str, Bodies]:
    """The digest of a procedure as it is now, and what has to be recorded first so that it can be read."""
    words = words_of(procedure)
    text = digest_of(words)
    if text in context.state.texts:
        return text, []
    body = e.ProcedureKept(procedure=procedure.id, revision=procedure.revision, text=text, words=words)
    return text, [body]
