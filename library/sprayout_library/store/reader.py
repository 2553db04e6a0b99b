"""Reading objects out of a repository: one at a time through a kept child, or thousands through a short-lived one."""

from __future__ import annotations

import subprocess
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from typing import IO, NamedTuple

from sprayout_library.store.errors import DamagedError
from sprayout_library.store.git import Git, stop

__all__ = ["Found", "ObjectReader", "bulk", "contents", "lines_given", "sizes"]


_TOGETHER = 32
"""Names asked for at once: few enough to fit the pipe to git while nobody reads what it answers."""


class Found(NamedTuple):
    """What stands under a name: its object id, its kind (blob, tree, commit) and its size in bytes."""

    id: str
    kind: str
    size: int


class ObjectReader:
    """Reads single objects through one kept child process; started when first asked, started again if it died."""

    def __init__(self, git: Git) -> None:
        self._git = git
        self._process: subprocess.Popen[bytes] | None = None

    def close(self) -> None:
        """End the child process and close its pipes."""
        if self._process is not None:
            stop(self._process)
            self._process = None

    def info(self, name: str) -> Found | None:
        """Return what stands under an object name such as `<commit>:<path>`, or None."""
        with self._asked("info", name) as pipe:
            return _header(pipe.readline(), name)

    def content(self, name: str) -> bytes | None:
        """Return the bytes under an object name, or None where nothing stands there."""
        with self._asked("contents", name) as pipe:
            found = _header(pipe.readline(), name)
            return None if found is None else _body(pipe, found)

    def contents(self, names: Sequence[str]) -> list[bytes | None]:
        """Return the bytes under each of some names, None where nothing stands; few questions wait for an answer."""
        found: list[bytes | None] = []
        for start in range(0, len(names), _TOGETHER):
            some = names[start : start + _TOGETHER]
            with self._asked_many("contents", some) as pipe:
                for name in some:
                    header = _header(pipe.readline(), name)
                    found.append(None if header is None else _body(pipe, header))
        return found

    def infos(self, names: list[str]) -> list[Found | None]:
        """Return what stands under each of a few names, asked together."""
        found: list[Found | None] = []
        for start in range(0, len(names), 100):  # few enough to fit the pipe while no answer is read
            some = names[start : start + 100]
            with self._asked_many("info", some) as pipe:
                found.extend(_header(pipe.readline(), name) for name in some)
        return found

    @contextmanager
    def _asked(self, what: str, name: str) -> Iterator[IO[bytes]]:
        with self._asked_many(what, [name]) as pipe:
            yield pipe

    @contextmanager
    def _asked_many(self, what: str, names: Sequence[str]) -> Iterator[IO[bytes]]:
        if self._process is None or self._process.poll() is not None:
            self.close()
            self._process = self._git.start("cat-file", "--batch-command", given=b"")
        process = self._process
        if process.stdin is None or process.stdout is None:
            raise DamagedError("git gave no pipe to read from", "Try again.")
        whole = False
        try:
            process.stdin.write(b"".join(f"{what} {name}\n".encode() for name in names))
            process.stdin.flush()
            yield process.stdout
            whole = True
        except BrokenPipeError:
            raise DamagedError("git stopped while the library was read", "Try again.") from None
        finally:
            if not whole:  # half an answer may be left in the pipe
                self.close()


def _header(line: bytes, name: str) -> Found | None:
    if line.endswith((b" missing\n", b" ambiguous\n")):
        return None
    parts = line.split()
    if len(parts) != 3:
        raise DamagedError(f"{name} could not be read", "Run a check of the library.")
    return Found(parts[0].decode(), parts[1].decode(), int(parts[2]))


def _body(pipe: IO[bytes], found: Found) -> bytes:
    content = pipe.read(found.size)
    if len(content) != found.size or pipe.read(1) != b"\n":
        raise DamagedError(f"object {found.id} is cut off", "Run a check of the library.")
    return content


def bulk(git: Git, ids: Iterable[str]) -> Iterator[tuple[Found, bytes]]:
    """Yield every object asked for, in the order asked, without keeping more than one in memory."""
    with lines_given(ids) as given, git.started("cat-file", "--batch", "--buffer", given=given) as process:
        pipe = process.stdout
        if pipe is None:
            raise DamagedError("git gave no pipe to read from", "Try again.")
        while line := pipe.readline():
            found = _header(line, line.decode("utf-8", "replace").split(" ")[0])
            if found is None:
                raise DamagedError(f"object {line[:40].decode()} is missing", "Run a check of the library.")
            yield found, _body(pipe, found)


def contents(git: Git, ids: Iterable[str], largest: int) -> Iterator[bytes]:
    """Yield the content of every object asked for, in the order asked; none larger than `largest` is read."""
    with lines_given(ids) as given, git.started("cat-file", "--batch", "--buffer", given=given) as process:
        pipe = process.stdout
        if pipe is None:
            raise DamagedError("git gave no pipe to read from", "Try again.")
        while line := pipe.readline():
            parts = line.split()
            if len(parts) != 3:
                raise DamagedError(f"object {line[:40].decode('utf-8', 'replace')} is missing", "Run a check.")
            size = int(parts[2])
            if size > largest:
                raise DamagedError(f"object {parts[0].decode()} has {size} bytes", f"At most {largest} are read.")
            content = pipe.read(size + 1)
            if len(content) != size + 1:
                raise DamagedError(f"object {parts[0].decode()} is cut off", "Run a check of the library.")
            yield content[:-1]


def sizes(git: Git, ids: Iterable[str]) -> Iterator[Found]:
    """Yield id, kind and size of every object asked for, without reading any of them."""
    with (
        lines_given(ids) as given,
        git.started("cat-file", "--batch-check", "--buffer", given=given) as process,
    ):
        pipe = process.stdout
        if pipe is None:
            raise DamagedError("git gave no pipe to read from", "Try again.")
        for line in pipe:
            found = _header(line, line.decode("utf-8", "replace").split(" ")[0])
            if found is None:
                raise DamagedError(f"object {line[:40].decode()} is missing", "Run a check of the library.")
            yield found


@contextmanager
def lines_given(ids: Iterable[str]) -> Iterator[IO[bytes]]:
    """Yield an open file with one id a line: a file never blocks, a pipe that nobody empties does."""
    with tempfile.TemporaryFile() as given:
        given.writelines(b"%s\n" % item.encode("ascii") for item in ids)
        given.seek(0)
        yield given
