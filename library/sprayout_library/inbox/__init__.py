"""The inbox: files that bring readings, taken in when they are finished, each reading once."""

from sprayout_library.inbox.batch import Batch, Outcome, place_waiting
from sprayout_library.inbox.copying import Copied, NoRoom, NotReadable, StillChanging, copied
from sprayout_library.inbox.file_names import NamePattern
from sprayout_library.inbox.ledger import FileNote, Inbox, WaitingRow
from sprayout_library.inbox.mappings import Mappings, headings_mark
from sprayout_library.inbox.settling import Settling
from sprayout_library.inbox.taking import Asked, NotReady, Previews, Readers, options_from_words
from sprayout_library.inbox.watching import Placed, Refused, Same, Watch

__all__ = [
    "Asked",
    "Batch",
    "Copied",
    "FileNote",
    "Inbox",
    "Mappings",
    "NamePattern",
    "NoRoom",
    "NotReadable",
    "NotReady",
    "Outcome",
    "Placed",
    "Previews",
    "Readers",
    "Refused",
    "Same",
    "Settling",
    "StillChanging",
    "WaitingRow",
    "Watch",
    "copied",
    "headings_mark",
    "options_from_words",
    "place_waiting",
]
