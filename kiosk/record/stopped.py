"""Why the record cannot be opened, read or written: each says what is wrong and how to go on."""

from kiosk.errors import KioskError

RESTORE = "use kiosk restore to restore a copy"


class RecordingStopped(KioskError):
    """The journal cannot be written or read: what was tapped is not recorded."""


class RecordBusy(RecordingStopped):
    """Another program holds the record. Nothing is wrong with it: the same press again may do."""


class CannotWrite(RecordingStopped):
    """The record can be read, but nothing can be written where it is: a full disk, a read-only folder."""


class RecordRemoved(RecordingStopped):
    """The record's files were removed or replaced while they were open."""


class NewerRecord(RecordingStopped):
    """A newer kiosk wrote what this one does not know. Nothing is dropped or guessed: update this one."""


class DamagedRecord(RecordingStopped):
    """Something in the record is not what was written. Says which event and what is wrong with it."""


class NotAsWitnessed(RecordingStopped):
    """The record's files are not what was known of them outside: a tail lost, an older copy, another one."""


class RecordLost(NotAsWitnessed):
    """There was a record here, and its file is missing or empty."""


class NothingRecorded(RecordingStopped):
    """There is no record yet, and nothing says that there was one."""


class NotRecordable(KioskError):
    """What was to be recorded could not be read back, so it is not recorded; nothing else is lost."""


class TapUsed(KioskError):
    """The id of a tap came again for another act: it is neither recorded nor passed over in silence."""
