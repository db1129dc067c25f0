"""What was said and done, kept so that it can be listened to, read, searched, printed and trusted.

One SQLite database (`logbook.sqlite3`) holds the events, and a folder (`clips/`) beside it the sound. Events are
only ever added; each carries the hash of the one before. This room stores, proves and shows. What the events mean
is the business of `job`.
"""

from assistant.logbook.errors import (
    DiskFull,
    JobHeld,
    LogbookDamaged,
    LogbookError,
    LogbookLocked,
    LogbookNewer,
    LogbookReadOnly,
    NoSuchJob,
)
from assistant.logbook.store import JobSummary, Logbook
from assistant.logbook.writer import JobWriter

__all__ = [
    "DiskFull",
    "JobHeld",
    "JobSummary",
    "JobWriter",
    "Logbook",
    "LogbookDamaged",
    "LogbookError",
    "LogbookLocked",
    "LogbookNewer",
    "LogbookReadOnly",
    "NoSuchJob",
]
