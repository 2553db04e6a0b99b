"""Reading a scanned or photographed card: straightened, evened out, corrected, or refused."""

from sprayout_plugins.card_scan.decoding import BOUNDS, Bounds
from sprayout_plugins.card_scan.identify import identify
from sprayout_plugins.card_scan.reading import measure

__all__ = ["BOUNDS", "Bounds", "identify", "measure"]
