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


_MOST_SAID = 100  # procedures; a shop has some forty
_said: dict[
    int, tuple[Procedure, str, str]
] = {}  # by id: the procedure is kept, so that its id stays its own


def _words_and_digest(procedure: Procedure) -> tuple[str, str]:
    """Both, worked out once: whatever is begun, finished or taken back asks for them, and nothing that was
    read ever changes."""
    known = _said.get(id(procedure))
    if known is None:
        if len(_said) >= _MOST_SAID:
            _said.clear()
        words = words_of(procedure)
        known = _said[id(procedure)] = (procedure, words, digest_of(words))
    return known[1:]


def kept(context: Context, procedure: Procedure) -> tuple[str, Bodies]:
    """The digest of a procedure as it is now, and what has to be recorded first so that it can be read."""
    words, text = _words_and_digest(procedure)
    if text in context.state.texts:
        return text, []
    body = e.ProcedureKept(procedure=procedure.id, revision=procedure.revision, text=text, words=words)
    return text, [body]
