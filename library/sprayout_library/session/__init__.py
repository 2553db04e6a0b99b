"""The spray day: cups, pieces and coats tallied tap by tap, each kept at once, and saved as panels at the end."""

from sprayout_library.session.finishing import Finished, Last, finish
from sprayout_library.session.journal import Journal, JournalError
from sprayout_library.session.opening import CupMistaken, cup_tap, piece_tap, start_tap
from sprayout_library.session.seen import Look, Shot, judgement_tap, picture_tap
from sprayout_library.session.spraying import Session, begin, open_session, open_sessions
from sprayout_library.session.tally import Seen, Tally, tally
from sprayout_library.session.telling import companions, dry_words, piece_words, session_data, since_words

__all__ = [
    "CupMistaken", "Finished", "Journal", "JournalError", "Last", "Look", "Seen", "Session", "Shot", "Tally", "begin",
    "companions", "cup_tap", "dry_words", "finish", "judgement_tap", "open_session", "open_sessions", "picture_tap",
    "piece_tap", "piece_words", "session_data", "since_words", "start_tap", "tally",
]  # fmt: skip
