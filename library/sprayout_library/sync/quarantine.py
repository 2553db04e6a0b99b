"""Where everything that arrives lies until the gate has seen it: a repository of its own that borrows ours."""

from __future__ import annotations

import secrets
import shutil
import time
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from sprayout_library.store import Git, GitError, Store
from sprayout_library.store.refs import all_refs
from sprayout_library.sync.errors import RefusedError
from sprayout_library.sync.remote import Remote, told

__all__ = ["LARGEST_ARRIVAL", "Quarantine", "quarantine", "swept"]

LARGEST_ARRIVAL = 2_000_000_000
"""Bytes that may arrive in one sync; a longer absence is taken in by several."""

_FOLDER = "incoming"
_OLD = 6 * 3600.0
_FEW = 200

# Whatever arrives stays one pack, is checked object by object, and large blobs are never held in memory.
_SETTINGS = (
    ("fetch.unpackLimit", "1"),
    ("transfer.unpackLimit", "1"),
    ("transfer.fsckObjects", "true"),
    ("fetch.fsck.badFilemode", "error"),
    ("core.bigFileThreshold", "2m"),
    ("pack.threads", "1"),
)


class Quarantine:
    """What arrived and waits at the gate."""

    def __init__(self, folder: Path, store: Store) -> None:
        self.folder = folder
        self.git = Git(folder, settings=_SETTINGS)
        self._store = store

    def fetch(self, remote: Remote, copies: Iterable[str], watch: Callable[[], None] | None = None) -> dict[str, str]:
        """Fetch branches of copies, return their heads. Raises UnreachableError, RemoteError, RefusedError."""
        try:
            return self.fetch_from(remote.address, remote.protocol, copies, remote.settings(), watch)
        except GitError as error:
            if "fsck" in error.detail or "error in " in error.detail or "index-pack" in error.detail:
                raise RefusedError(
                    f"what {remote.name} sent is not sound: {_short(error.detail)}",
                    "Nothing was taken. Tell whoever keeps the shared library.",
                    place=remote.name,
                ) from error
            raise told(error, remote) from error

    def fetch_from(
        self,
        address: str,
        protocol: str,
        copies: Iterable[str],
        settings: Sequence[tuple[str, str]] = (),
        watch: Callable[[], None] | None = None,
    ) -> dict[str, str]:
        """Fetch branches of copies from an address that was looked at, and return their heads."""
        specs = [f"refs/heads/shops/{copy}:refs/heads/shops/{copy}" for copy in copies]
        self.git.run(
            *("fetch", "--no-tags", "--no-write-fetch-head", "--no-auto-maintenance"),
            *("--no-recurse-submodules", "--quiet", address, *specs),
            protocols=protocol,
            settings=settings,
            seconds=3600,
            watch=lambda: self._watched(watch),
        )
        if (self.folder / "shallow").exists():
            raise RefusedError("a history that is cut off", "Share through a whole library.", place=address)
        refs = all_refs(self.git, "refs/heads/shops/")
        return {name.rpartition("/")[2]: commit for name, commit in refs.items()}

    def _watched(self, watch: Callable[[], None] | None) -> None:
        size = sum(path.stat().st_size for path in (self.folder / "objects").rglob("*") if path.is_file())
        if size > LARGEST_ARRIVAL:
            raise RefusedError(f"more than {LARGEST_ARRIVAL // 1_000_000} MB at once", "Nothing was taken.")
        if watch is not None:
            watch()

    def release(self, heads: Iterable[str]) -> None:
        """Move what the given heads need into the library; what was refused stays here and is thrown away."""
        known = [f"^{commit}" for name, commit in all_refs(self.git, "refs/known/").items()]
        wanted = "\n".join([*heads, *known, ""]).encode("ascii")
        pack = self.folder / "released.pack"
        with self.git.started(
            "pack-objects", "--revs", "--stdout", "--quiet", "--delta-base-offset", given=wanted
        ) as process:
            if process.stdin is None or process.stdout is None:
                raise RefusedError("git gave no pipe to read from", "Try again.")
            process.stdin.write(wanted)
            process.stdin.close()
            process.stdin = None
            with pack.open("wb") as file:
                shutil.copyfileobj(process.stdout, file, 1 << 20)
            if process.wait(timeout=3600):
                raise RefusedError("what arrived could not be taken over", "Try again; nothing was changed.")
        with pack.open("rb", buffering=0) as file:  # git reads on from where we stopped
            count = int.from_bytes(file.read(12)[8:], "big")
            file.seek(0)
            words = ("unpack-objects", "-q") if count <= _FEW else ("index-pack", "--stdin")
            if count:
                self._store.git.run(*words, given=file, seconds=3600)


def _short(detail: str) -> str:
    lines = [line for line in detail.splitlines() if "error" in line or "fatal" in line]
    return (lines or [detail])[0][:200]


@contextmanager
def quarantine(store: Store, known: Mapping[str, str]) -> Iterator[Quarantine]:
    """Make a quarantine beside the library's objects and throw it away at the end, whatever happened.

    known   commits this library holds whole, by any name: what they reach is not fetched again
    """
    folder = store.folder / _FOLDER / f"{int(time.time())}-{secrets.token_hex(6)}"
    folder.mkdir(parents=True)
    try:
        git = Git(folder)
        git.run("init", "--quiet", "--bare", "--template=", "--initial-branch=main")
        (folder / "objects" / "info").mkdir(exist_ok=True)
        (folder / "objects" / "info" / "alternates").write_text("../../../objects\n", encoding="ascii")
        lines = [f"{commit} refs/known/{number}" for number, commit in enumerate(sorted(set(known.values())))]
        (folder / "packed-refs").write_text("".join(f"{line}\n" for line in lines), encoding="ascii", newline="\n")
        yield Quarantine(folder, store)
    finally:
        shutil.rmtree(folder, ignore_errors=True)
        _without_parent(folder.parent)


def _without_parent(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:  # another one is still in use
        return


def swept(store: Store) -> int:
    """Throw away quarantines that a killed command left behind and return how many."""
    folder = store.folder / _FOLDER
    count = 0
    for left in folder.iterdir() if folder.is_dir() else ():
        made = left.name.partition("-")[0]
        if not made.isdigit() or abs(time.time() - int(made)) > _OLD:
            shutil.rmtree(left, ignore_errors=True)
            count += 1
    if folder.is_dir():
        _without_parent(folder)
    return count
