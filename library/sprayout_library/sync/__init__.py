"""Sync carries a library between its copies: fetch, gate, fold, push; or a bundle on a stick."""

from sprayout_library.sync.bundle import bundle, take_bundle
from sprayout_library.sync.errors import RefusedError, RemoteError, SyncError, UnreachableError
from sprayout_library.sync.gate import LIMITS, Limits, Verdict, judged
from sprayout_library.sync.joining import clone, clone_from_stick, is_missing, join_remote
from sprayout_library.sync.leaving import Leaving, everything, is_marked_private, leaving, set_private
from sprayout_library.sync.receiving import fold_here
from sprayout_library.sync.remote import Remote, add_remote, make_shared_folder, remote_at, remotes
from sprayout_library.sync.report import Question, SyncReport
from sprayout_library.sync.strangers import Admit, Strangers
from sprayout_library.sync.syncing import sync

__all__ = [
    "LIMITS",
    "Admit",
    "Leaving",
    "Limits",
    "Question",
    "RefusedError",
    "Remote",
    "RemoteError",
    "Strangers",
    "SyncError",
    "SyncReport",
    "UnreachableError",
    "Verdict",
    "add_remote",
    "bundle",
    "clone",
    "clone_from_stick",
    "everything",
    "fold_here",
    "is_marked_private",
    "is_missing",
    "join_remote",
    "judged",
    "leaving",
    "make_shared_folder",
    "remote_at",
    "remotes",
    "set_private",
    "sync",
    "take_bundle",
]
