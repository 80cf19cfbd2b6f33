"""The output folder of one design: written whole beside the old one, then put in its place, so nothing is half-done.

What the last build wrote stands in its summary and goes; whatever else lies in its folder is the user's and stays.
"""

import hashlib
import itertools
import json
import os
import re
import shutil
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from foamworks.errors import OutputError
from foamworks.output.keys import Row

MARKER = "summary.json"  # what tells a folder of an earlier build from a folder of the user's


@dataclass
class Place:
    """`work`: the new folder to write into; `final`: the place it takes; `removed`: files of the last build that went.

    `removed` counts, once the folder is in place, what the last build wrote and this one did not.
    """

    work: Path
    final: Path
    removed: int = 0


def safe_name(name: str) -> str:
    """Make a name fit for a file on any system: letters, digits, dot, dash; never empty, never hidden.

    >>> safe_name('pod/mount "L"')
    'pod-mount-L'
    """
    text = re.sub(r"[^\w.-]+", "-", name, flags=re.UNICODE).strip("-._ ")
    return text[:80] or "part"


def unique_names(names: Iterable[str]) -> list[str]:
    """Make safe names that differ from each other even where case does not count.

    >>> unique_names(["a b", "a-2", "a-b", "A b"]), unique_names(["a", "a-2", "a"])
    (['a-b', 'a-2', 'a-b-2', 'A-b-3'], ['a', 'a-2', 'a-3'])
    """
    found: dict[str, str] = {}
    for safe in map(safe_name, names):
        tries = itertools.chain([safe], (f"{safe}-{number}" for number in itertools.count(2)))
        free = next(one for one in tries if one.lower() not in found)
        found[free.lower()] = free
    return list(found.values())


@contextmanager
def whole_folder(out: Path, name: str) -> Iterator[Place]:
    """Give a new folder to write into; on success it replaces the last build, else it goes.

    Files of the user's in the last build's folder are in the new one too. What a killed build of the same design left
    behind is put right first.
    Raises OutputError when `out` cannot be used or the place holds something that no build wrote.
    """
    final = out / safe_name(name)
    try:
        out.mkdir(parents=True, exist_ok=True)
        if final.exists() and not (final.is_dir() and ((final / MARKER).exists() or not any(final.iterdir()))):
            raise OutputError(f"{final}: holds something else than an earlier build; move it, or name another --out")
        _put_right(final)
        _written(final)
        work = out / f".{final.name}.{os.getpid()}.new"
        shutil.rmtree(work, ignore_errors=True)
        work.mkdir()
    except OutputError:
        raise
    except OSError as fault:
        raise OutputError(f"{out}: cannot be written to ({fault.strerror}); name another folder with --out") from None
    place = Place(work, final)
    try:
        yield place
        place.removed = _put_in_place(work, final)
    finally:
        shutil.rmtree(work, ignore_errors=True)


def _written(final: Path) -> dict[str, str]:
    """Give path and digest of each file that the last build wrote, but its summary; none where there is no build."""
    marker = final / MARKER
    if not marker.exists():
        return {}
    try:
        return {entry["path"]: entry["sha256"] for entry in json.loads(marker.read_bytes())["files"]}
    except (ValueError, KeyError, TypeError):
        raise OutputError(
            f"{marker}: does not say which files the last build wrote, the others are yours; move the folder away"
        ) from None


def _carry_over(work: Path, final: Path) -> int:
    """Bring the user's files from the last build's folder into the new one; count the build's own that are not in it.

    A file of the build that was changed since is the user's. The last folder is left as it is: files are linked, or
    copied where that cannot be.
    """
    written, removed = _written(final), 0
    for path in sorted(final.rglob("*")) if final.exists() else ():
        name = path.relative_to(final)
        if path.is_dir() and not path.is_symlink():
            if not any(path.iterdir()):
                (work / name).mkdir(parents=True, exist_ok=True)
            continue
        digest = written.get(name.as_posix())
        if digest is not None and digest == hashlib.sha256(path.read_bytes()).hexdigest():
            removed += not (work / name).exists()
        elif name.as_posix() != MARKER:
            _keep(path, _free(work / name, changed=digest is not None))
    return removed


def _free(wanted: Path, *, changed: bool) -> Path:
    """Give the place itself when it is free and not that of a changed file, else one beside it: cards-yours.pdf."""
    found, number = wanted, 1
    while changed or os.path.lexists(found):
        found = wanted.with_name(f"{wanted.stem}-yours{'' if number == 1 else f'-{number}'}{wanted.suffix}")
        changed, number = False, number + 1
    return found


def _keep(path: Path, place: Path) -> None:
    place.parent.mkdir(parents=True, exist_ok=True)
    if path.is_symlink():
        shutil.copy2(path, place, follow_symlinks=False)
        return
    try:
        os.link(path, place)
    except OSError:  # a file system without links
        shutil.copy2(path, place)


def _put_in_place(work: Path, final: Path) -> int:
    old = work.with_suffix(".old")
    try:
        removed = _carry_over(work, final)
        if final.exists():
            final.rename(old)
        work.rename(final)
        return removed
    except OSError as fault:
        raise OutputError(f"{final}: cannot be replaced ({fault.strerror}); close what has it open") from None
    finally:
        _settle(old, final)


def _settle(old: Path, final: Path) -> None:
    """Put the last build back when nothing took its place, else drop it."""
    if not final.exists() and old.exists():
        old.rename(final)
    shutil.rmtree(old, ignore_errors=True)


def _put_right(final: Path) -> None:
    """Remove the working folders of builds that were killed; the last build is put back when it had been moved."""
    pattern = re.compile(rf"\.{re.escape(final.name)}\.(\d+)\.(new|old)")
    for place in sorted(final.parent.iterdir()):
        match = pattern.fullmatch(place.name)
        if not match or place.is_symlink() or not place.is_dir() or _runs(int(match.group(1))):
            continue
        if match.group(2) == "old":
            _settle(place, final)
        else:
            shutil.rmtree(place, ignore_errors=True)


def _runs(process: int) -> bool:
    """Tell whether another process runs; where that cannot be asked without harm (not POSIX), take it that it does."""
    if process == os.getpid():  # the number was another's before it became ours
        return False
    if os.name != "posix":
        return True
    try:
        os.kill(process, 0)  # signal 0 only asks
    except (ProcessLookupError, OverflowError):
        return False
    except PermissionError:
        return True
    return True


def listing(folder: Path) -> list[Row]:
    """List the files in a folder but summary.json: path, bytes, sha256; in the order of their paths."""
    rows = []
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        name = path.relative_to(folder).as_posix()
        if name != MARKER:
            raw = path.read_bytes()
            rows.append({"path": name, "bytes": len(raw), "sha256": hashlib.sha256(raw).hexdigest()})
    return rows
