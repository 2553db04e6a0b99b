"""Where other copies are reached: a folder, ssh, https, our hub; which addresses are used and how they are called."""

from __future__ import annotations

import ipaddress
import re
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from sprayout_library.machine import tokens
from sprayout_library.store import Git, GitError, GitTimeoutError, Store
from sprayout_library.store.care import STALE, clock_of
from sprayout_library.store.layout import COPY
from sprayout_library.store.making import make_bare
from sprayout_library.store.shape import check_outline, check_settings, check_shape
from sprayout_library.sync.errors import RemoteError, UnreachableError

__all__ = ["Remote", "add_remote", "clear_own_lock", "heads_of", "make_shared_folder", "push", "remote_at", "remotes"]

_NAME = re.compile(r"[a-z][a-z0-9-]{0,30}", re.ASCII)
_HOST = r"(?:[A-Za-z0-9](?:[A-Za-z0-9.-]{0,251}[A-Za-z0-9])?|\[[0-9A-Fa-f:.]+\])"
_WEB = re.compile(rf"(https?)://({_HOST})(?::(\d{{1,5}}))?(/[A-Za-z0-9._~/%+-]*)?", re.ASCII)
_SSH = re.compile(
    rf"ssh://(?:([A-Za-z0-9_][A-Za-z0-9._-]*)@)?({_HOST})(?::(\d{{1,5}}))?(/[A-Za-z0-9._~/+-]+)", re.ASCII
)
_SSH_SHORT = re.compile(rf"([A-Za-z0-9_][A-Za-z0-9._-]*)@({_HOST}):([A-Za-z0-9._~/+][A-Za-z0-9._~/+-]*)", re.ASCII)
_SHOP = re.compile(rf"refs/heads/shops/({COPY.pattern})", re.ASCII)
_MOST_REFS = 10_000

# A folder remote is somebody else's repository, and the receiving side of a push runs there with its settings.
_RECEIVE = (
    "git -c core.hooksPath=/dev/null -c core.alternateRefsCommand=true -c core.fsmonitor=false -c receive.autogc=false "
    "-c gc.auto=0 -c maintenance.auto=false -c receive.denyCurrentBranch=refuse -c core.fsync=all receive-pack"
)
_SECONDS = 1800.0


@dataclass(frozen=True, slots=True)
class Remote:
    """A remote: its name in this library, its address, and its kind (folder, ssh, https or http)."""

    name: str
    address: str
    kind: str

    @property
    def protocol(self) -> str:
        """The one git transport that may be used for it."""
        return "file" if self.kind == "folder" else self.kind

    def looked_at(self) -> None:
        """Look at a folder before git does. Raises NotALibraryError, UnsafeError or RemoteError."""
        if self.kind != "folder":
            return
        folder = Path(self.address)
        if not folder.exists():
            raise UnreachableError(
                "the shared folder is not there", "Is the drive or the network connected?", place=self.address
            )
        check_outline(folder)
        check_settings(folder)

    def settings(self) -> list[tuple[str, str]]:
        """Return the settings for a call to it: a hub's token travels in the environment, nowhere else."""
        token = tokens().get(self.address) if self.kind in {"https", "http"} else None
        if not isinstance(token, str):
            return []
        if not re.fullmatch(r"[A-Za-z0-9._~+/=-]{8,400}", token):
            raise RemoteError("the token kept for this hub is not one", "Set it again.", place=self.name)
        return [(f"http.{self.address}.extraHeader", f"Authorization: Bearer {token}")]


def remote_at(name: str, address: str) -> Remote:
    """Return a remote from a name and an address a person typed.

    Addresses: a folder's path, `ssh://host/path`, `name@host:path`, `https://host/path`, and `http://` inside
    a local network. Raises RemoteError for everything else, and for an address with a password in it.
    """
    if not _NAME.fullmatch(name):
        raise RemoteError(f"{name[:60]!r} is no name for a remote", "Use small letters, digits and dashes.")
    address = address.strip()
    if not address or not address.isprintable() or address.startswith("-"):
        raise RemoteError("no address that is used", "Give a folder, or an address with https:// or ssh://.")
    if re.match(r"[A-Za-z][A-Za-z0-9+.-]*://[^/@]*:[^/@]*@", address):
        raise RemoteError("an address with a password in it", "Leave it out of the address; set a token for the hub.")
    if web := _WEB.fullmatch(address):
        if web[1] == "http" and not _is_near(web[2]):
            raise RemoteError("plain http beyond the local network", "Use https://.", place=f"{web[2]}")
        return Remote(name, address, web[1])
    if _SSH.fullmatch(address) or _SSH_SHORT.fullmatch(address):
        return Remote(name, address, "ssh")
    if "::" in address or re.match(r"[A-Za-z][A-Za-z0-9+.-]+:", address):
        how = re.split(r"[^A-Za-z0-9+.-]", address)[0]
        raise RemoteError(
            f"addresses with {how[:30]!r} are not used",
            "Give a folder, or an address with https:// or ssh://.",
        )
    return Remote(name, str(Path(address).expanduser().absolute()), "folder")


def _is_near(host: str) -> bool:
    if host == "localhost" or host.endswith((".local", ".lan", ".home.arpa")) or "." not in host.strip("[]"):
        return True
    try:
        address = ipaddress.ip_address(host.strip("[]"))
    except ValueError:
        return False
    return address.is_private or address.is_loopback


def remotes(store: Store) -> dict[str, Remote]:
    """Return the remotes of this library on this machine, by name."""
    kept = store.facts.get("remotes", {})
    return {name: remote_at(name, address) for name, address in sorted(kept.items())} if isinstance(kept, dict) else {}


def add_remote(store: Store, name: str, address: str) -> Remote:
    """Remember a remote for this library on this machine and return it."""
    kept = dict(store.facts.get("remotes", {}))
    remote = remote_at(name, address)
    if remote.kind == "folder" and Path(remote.address).resolve() == store.folder:
        raise RemoteError("a library cannot be shared through itself", "Give another folder.", place=remote.address)
    kept[name] = remote.address
    store.facts.put("remotes", kept)
    return remote


def make_shared_folder(folder: Path) -> None:
    """Make an empty shared repository in a folder, with the settings a shared one should have."""
    make_bare(folder.expanduser().absolute())


def heads_of(git: Git, remote: Remote, seconds: float = 120.0) -> dict[str, str]:
    """Return the head of every copy that the remote holds, by copy id; other branches are left alone.

    Raises UnreachableError or RemoteError.
    """
    remote.looked_at()
    if remote.kind == "folder":
        check_shape(Path(remote.address))
    words = ("ls-remote", "--refs", remote.address, "refs/heads/shops/*")
    try:
        said = git.run(*words, protocols=remote.protocol, settings=remote.settings(), seconds=seconds)
    except GitError as error:
        raise told(error, remote) from error
    lines = said.decode("utf-8", "replace").splitlines()
    if len(lines) > _MOST_REFS:
        raise RemoteError(f"more than {_MOST_REFS} copies", "This is no shared library.", place=remote.name)
    found: dict[str, str] = {}
    for line in lines:
        commit, _, name = line.partition("\t")
        if (shop := _SHOP.fullmatch(name)) and re.fullmatch(r"[0-9a-f]{40}", commit):
            found[shop[1]] = commit
    return found


def clear_own_lock(remote: Remote, name: str) -> None:
    """Take away a dead lock on our own branch in a shared folder.

    A push that was killed there leaves it, and git then refuses the branch for ever. Nobody but us moves this branch,
    and our sync runs alone, so a lock that is a minute old belongs to nobody.
    """
    if remote.kind != "folder":
        return
    lock = Path(remote.address) / f"{name}.lock"
    with suppress(OSError):
        if lock.is_file() and clock_of(lock.parent) - lock.stat().st_mtime > STALE:
            lock.unlink()


def push(
    git: Git,
    remote: Remote,
    moves: Mapping[str, str],
    watch: Callable[[], None] | None = None,
    seconds: float = _SECONDS,
) -> dict[str, str]:
    """Push commits to branches, forward only, and return what became of each: "" where it was taken, else why not.

    moves   commit by full name of the branch
    raises  UnreachableError or RemoteError when nothing could be sent at all
    """
    remote.looked_at()
    words = ["push", "--porcelain", "--no-verify", "--no-follow-tags", "--recurse-submodules=no"]
    if remote.kind == "folder":
        words.append(f"--receive-pack={_RECEIVE}")
    specs = [f"{commit}:{name}" for name, commit in moves.items()]
    try:
        said = git.run(
            *words,
            remote.address,
            *specs,
            protocols=remote.protocol,
            settings=remote.settings(),
            seconds=seconds,
            watch=watch,
        )
    except GitError as error:
        if error.detail.startswith("To ") or "failed to push some refs" in error.detail:
            return _pushed(error.detail + "\n" + error.output, moves)
        raise told(error, remote) from error
    return _pushed(said.decode("utf-8", "replace"), moves)


def _pushed(said: str, moves: Mapping[str, str]) -> dict[str, str]:
    results = dict.fromkeys(moves, "no word about it")
    reasons = _said_there(said)
    for line in said.splitlines():
        parts = line.split("\t")
        if len(parts) == 3 and (name := parts[1].rpartition(":")[2]) in results:
            taken = parts[0].strip() in {"", "*", "="}
            results[name] = "" if taken else "; ".join([parts[2].strip(), *reasons])
    return results


def _said_there(said: str) -> list[str]:
    """Return the few lines the other side gave as its reasons: somebody else's words, so only what can be shown."""
    lines = [line.removeprefix("remote: ") for line in said.splitlines() if line.startswith("remote: ")]
    shown = ["".join(sign for sign in line if sign.isprintable()).strip()[:300] for line in lines]
    return [line for line in dict.fromkeys(shown) if line][:8]


#: Which command of git it was is nothing that a shop can do anything about.
_WHO = re.compile(r"^git [a-z-]+ failed: ")


def told(error: GitError, remote: Remote) -> UnreachableError | RemoteError:
    """Return what a shop should read when git could not talk to a remote."""
    detail = error.detail
    place = remote.name
    if isinstance(error, GitTimeoutError):
        return UnreachableError("did not answer in time", "Nothing is lost; it goes out next time.", place=place)
    if "dubious ownership" in detail:
        return RemoteError(
            "the shared folder belongs to another user of this machine",
            "Ask its owner to share it through the hub or ssh, or make it owned by you.",
            place=place,
        )
    if any(
        words in detail
        for words in ("Authentication failed", "could not read Username", "Permission denied", "403", "401")
    ):
        return RemoteError(
            "the other side did not let us in",
            "Check the ssh key, or the token: sprayout hub token --keep ADDRESS",
            place=place,
        )
    if any(
        words in detail for words in ("does not appear to be a git repository", "not found", "not a git repository")
    ):
        return RemoteError("there is no shared library at this address", "Check the address.", place=place)
    if any(words in detail for words in ("repository corruption", "bad pack header", "after ref listing")):
        return RemoteError(
            "what lies at this address is damaged", "Nothing was taken. Tell whoever keeps it.", place=place
        )
    if "shallow" in detail:
        return RemoteError("its history is cut off", "Share through a whole library.", place=place)
    return UnreachableError(
        f"could not be reached ({_WHO.sub('', str(error.fault.problem))[:200]})",
        "Nothing is lost; it goes out next time.",
        place=place,
    )
