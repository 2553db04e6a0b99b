"""Decoding a picture in a bounded process of its own: the pixels asked for come back, or a refusal."""

from __future__ import annotations

import base64
import json
import os
import struct
import subprocess
import sys
import threading
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from types import TracebackType
from typing import IO, Any, Self

import numpy as np
import numpy.typing as npt

from sprayout_core.card import CardRefused, Refusal

__all__ = ["BOUNDS", "MARKS", "STORED", "WHOLE", "WITH_LIGHT", "Bounds", "Code", "Decoding", "Header"]

_LINE = 1 << 24
WHOLE, MARKS = 0, 1
STORED, WITH_LIGHT = 0, 1
_COLUMNS = 64  # of the picture that asked pixels cross as: one tile of the imaging library wide
# Without the site module the process starts in half the time; it then needs to be told where packages lie.
_PACKAGES = tuple(path for path in sys.path if Path(path).name in ("site-packages", "dist-packages"))
_ISOLATED = ("-I", "-S") if _PACKAGES else ("-I",)


# Two threads for the imaging library; large pages for the decoded picture, where the system's C library knows of them.
_SETTINGS = {"VIPS_CONCURRENCY": "2", "GLIBC_TUNABLES": "glibc.malloc.hugetlb=1"}


@dataclass(frozen=True, slots=True)
class Bounds:
    """What decoding may use.

    pixels   in the picture: 72 million hold an A4 sheet at 800 dpi
    memory   address space of the process, bytes, where the system can bound it (Windows cannot)
    seconds  wall clock, and processor time where the system can bound it
    file     bytes of the picture
    """

    pixels: int = 72_000_000
    memory: int = 2 << 30
    seconds: int = 60
    file: int = 512 << 20


BOUNDS = Bounds()


@dataclass(frozen=True, slots=True)
class Code:
    """A mark that was seen: what it says ('' where unreadable) and its corners in its own order, pixels."""

    text: str
    corners: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Header:
    """What is known of a picture before its pixels.

    resolution  pixels per mm as the file says, 0 where it does not
    sharpness   share of the finest detail in all detail, 0 to 1; 1 where all marks were read
    located     whether the file tells where on earth it was taken
    """

    width: int
    height: int
    bits: int
    profile: bytes
    resolution: float
    sharpness: float
    codes: tuple[Code, ...]
    located: bool

    @property
    def top(self) -> int:
        """The largest value a channel can hold."""
        return 255 if self.bits == 8 else 65535


class Decoding:
    """One picture being decoded; use it in a `with` statement, which ends the process whatever happens.

    First `header`, then `pixels` and `xyz` as often as wanted. Each raises CardRefused.

    looking  how much is wanted: WHOLE, or MARKS for the header alone, which a JPEG gives in half the time
    """

    def __init__(self, picture: bytes, bounds: Bounds = BOUNDS, looking: int = WHOLE) -> None:
        if len(picture) > bounds.file:
            raise CardRefused(
                Refusal.TOO_LARGE,
                f"the file has {len(picture):,} bytes",
                "Scan at 300 dpi, or save without layers.",
            )
        self._process = subprocess.Popen(
            # the file itself: running it as a module would import the packages above it first
            [sys.executable, *_ISOLATED, str(Path(__file__).with_name("child.py")), *_PACKAGES],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            env=_surroundings(),
        )
        assert self._process.stdin is not None
        assert self._process.stdout is not None
        self._to: IO[bytes] = self._process.stdin
        self._from: IO[bytes] = self._process.stdout
        _widen(self._to, self._from)
        self._clock = threading.Timer(bounds.seconds, self._process.kill)
        self._clock.daemon = True
        self._clock.start()
        asked = struct.pack("<QQQQQ", bounds.pixels, bounds.memory, bounds.seconds, len(picture), looking)
        # While the process starts and takes the picture, whoever asked can go on with other work.
        self._sender = threading.Thread(target=self._tell, args=(asked, picture), daemon=True)
        self._sender.start()
        self._order: npt.NDArray[np.intp] = np.empty(0, dtype=np.intp)

    @cached_property
    def header(self) -> Header:
        """What is known of the picture, with all its marks; waits for the process."""
        told = self._hear()
        self._sender.join()
        try:
            return _header(told)
        except (KeyError, TypeError, ValueError):
            raise self._broken() from None

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, wrong: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def finish(self) -> None:
        """Tell the process that nothing more is wanted: it ends by itself, so that `close` need not wait for it."""
        with suppress(OSError):
            self._to.close()

    def close(self) -> None:
        """End the process."""
        self._clock.cancel()
        self._process.kill()
        self._process.wait()
        for stream in (self._from, self._to):
            try:
                stream.close()
            except OSError:
                continue  # what was left to send has nobody to take it

    def pixels(
        self, columns: npt.NDArray[np.int32], rows: npt.NDArray[np.int32], wanted: int = STORED
    ) -> npt.NDArray[np.integer]:
        """Return pixels as the file holds them, (n, 3), by their columns and rows, (n,) each, all inside the picture.

        wanted  STORED, or WITH_LIGHT where they are wanted through the embedded profile too: the process goes on
                with that, and `xyz` takes it
        """
        kind: type[np.uint8] | type[np.uint16] = np.uint8 if self.header.bits == 8 else np.uint16
        # From top to bottom they are picked in a fraction of the time, for they lie near each other then; short
        # keys are sorted by counting.
        order = np.argsort(rows.astype(np.uint16) if self.header.height < 65536 else rows, kind="stable")
        lines = -(-len(order) // _COLUMNS)
        asked = np.pad(
            np.stack([columns[order], rows[order]], axis=1), ((0, lines * _COLUMNS - len(order)), (0, 0)), mode="edge"
        )
        self._order = order
        self._tell(struct.pack("<QQQ", _COLUMNS, lines, wanted), asked.tobytes())
        return self._in_order(self._block(len(asked) * 3 * np.dtype(kind).itemsize), kind)

    def xyz(self) -> npt.NDArray[np.float64]:
        """Return X, Y, Z (D50, Y = 1 for white), (n, 3), of the pixels that were asked for last."""
        lines = -(-len(self._order) // _COLUMNS)
        light = self._in_order(self._block(lines * _COLUMNS * 12), np.float32).astype(float)
        light /= 100.0
        return light

    def _in_order(self, told: bytes, kind: type[Any]) -> npt.NDArray[Any]:
        placed = np.empty((len(self._order), 3), dtype=kind)
        placed[self._order] = np.frombuffer(told, dtype=kind).reshape(-1, 3)[: len(self._order)]
        return placed

    def _tell(self, *pieces: bytes) -> None:
        try:
            for piece in pieces:
                self._to.write(piece)
            self._to.flush()
        except OSError:
            return  # the process has gone; what it said, or did not, tells why

    def _hear(self) -> dict[str, Any]:
        line = self._from.readline(_LINE)
        try:
            told = json.loads(line)
        except ValueError:
            raise self._broken() from None
        if not isinstance(told, dict):
            raise self._broken()
        if "refused" in told:
            self.close()
            raise _refusal(str(told["refused"]), str(told["detail"]))
        return told

    def _block(self, length: int) -> bytes:
        if self._hear() != {"bytes": length}:
            raise self._broken()
        return self._exactly(length)

    def _exactly(self, length: int) -> bytes:
        taken = self._from.read(length)
        if len(taken) != length:
            raise self._broken()
        return taken

    def _broken(self) -> CardRefused:
        self.close()
        return CardRefused(
            Refusal.NOT_DECODED,
            "decoding took too long, too much memory, or broke off",
            "Save the picture anew as PNG or JPEG, 300 dpi, 8 or 16 bit, without layers.",
        )


def _widen(*pipes: IO[bytes]) -> None:
    """Let pipes hold a mebibyte, so that two processes wait less for each other."""
    # Guarded spot: only Linux has it, and there a user with very many pipes may not have it. Elsewhere a picture
    # crosses in smaller pieces.
    try:
        import fcntl

        for pipe in pipes:
            fcntl.fcntl(pipe, fcntl.F_SETPIPE_SZ, 1 << 20)
    except (ImportError, AttributeError, OSError):
        return


def _surroundings() -> dict[str, str]:
    kept = ("PATH", "SYSTEMROOT", "TEMP", "TMPDIR", "LD_LIBRARY_PATH", "DYLD_LIBRARY_PATH")
    return {name: os.environ[name] for name in kept if name in os.environ} | _SETTINGS


def _header(told: dict[str, Any]) -> Header:
    return Header(
        int(told["width"]),
        int(told["height"]),
        int(told["bits"]),
        base64.b64decode(told["profile"]),
        float(told["resolution"]),
        float(told["sharpness"]),
        tuple(Code(code["text"], tuple((float(x), float(y)) for x, y in code["corners"])) for code in told["codes"]),
        bool(told["located"]),
    )


_REMEDIES = {
    Refusal.NOT_A_PICTURE: "Give a PNG, JPEG or TIFF file.",
    Refusal.TOO_LARGE: "Scan at 300 dpi.",
    Refusal.NOT_COLOUR: "Scan in colour (RGB), 8 or 16 bit per channel.",
    Refusal.DAMAGED: "Copy the file again from the scanner or phone, or scan again.",
}


def _refusal(name: str, detail: str) -> CardRefused:
    reason = Refusal[name] if name in Refusal.__members__ else Refusal.NOT_DECODED
    return CardRefused(reason, f"the picture is {reason}: {detail}", _REMEDIES.get(reason, "Scan again."))
