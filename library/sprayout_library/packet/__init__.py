"""Packets: one file with a document and everything it needs, looked at before anything of it is taken."""

from sprayout_library.packet.container import (
    LARGEST_PACKET,
    MOST_DOCUMENTS,
    Packet,
    PacketError,
    packet_bytes,
    packet_content,
    packet_from,
    read_packet,
    shown,
)
from sprayout_library.packet.gathering import gathered, referred
from sprayout_library.packet.looking import Fate, Look, Seen, look
from sprayout_library.packet.taking import take

__all__ = [
    "LARGEST_PACKET", "MOST_DOCUMENTS", "Fate", "Look", "Packet", "PacketError", "Seen", "gathered", "look",
    "packet_bytes", "packet_content", "packet_from", "read_packet", "referred", "shown",
    "take",
]  # fmt: skip
