"""Why the record cannot be opened, read or written: each says what is wrong and how to go on."""

from kiosk.errors import KioskError


class RecordingStopped(KioskError):
    """The journal cannot be written or read: what was tapped is not recorded."""


class NewerRecord(RecordingStopped):
    """A newer kiosk wrote what this one does not know. Nothing is dropped or guessed: update this one."""


class DamagedRecord(RecordingStopped):
    """Something in the record is not what was written. Says which event and what is wrong with it."""


class NotRecordable(KioskError):
    """What was to be recorded could not be read back, so it is not recorded; nothing else is lost."""
