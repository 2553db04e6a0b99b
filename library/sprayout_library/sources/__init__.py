"""Sources: pictures and tables kept beside the library by their digest, never in it."""

from sprayout_library.sources.keeping import LARGEST_SOURCE, SourceError, Sources, digest_of, digests_named
from sprayout_library.sources.pictures import Prepared, prepared

__all__ = ["LARGEST_SOURCE", "Prepared", "SourceError", "Sources", "digest_of", "digests_named", "prepared"]
