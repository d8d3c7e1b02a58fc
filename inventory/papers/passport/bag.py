"""A BagIt bag (RFC 8493): its tag files, and whether files fit them. Pure: files are given as names and digests.

Version 1.0 with SHA-256 manifests is written; a bag of version 0.97 or 1.0 is read.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping
from urllib.parse import unquote

__all__ = ["MANIFEST", "TAG_FILES", "TAG_MANIFEST", "bagged", "problems_of"]

MANIFEST = "manifest-sha256.txt"
TAG_MANIFEST = "tagmanifest-sha256.txt"
_DECLARATION = "bagit.txt"
_INFO = "bag-info.txt"
#: The files of a bag besides its payload, as they are written here.
TAG_FILES = frozenset({_DECLARATION, _INFO, MANIFEST, TAG_MANIFEST})
_DECLARED = "BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n"
_VERSIONS = re.compile(r"BagIt-Version: (?:0\.97|1\.0)\r?\nTag-File-Character-Encoding: UTF-8\r?\n?", re.IGNORECASE)
_LINE = re.compile(r"([0-9a-fA-F]{64})[ \t]+\*?(\S.*)")
_LINE_END = re.compile(r"\r\n|\r|\n")
#: Signs that a manifest writes as %XX (RFC 8493, 2.1.3).
_ESCAPED = {"%": "%25", "\n": "%0A", "\r": "%0D"}


def bagged(payload: Mapping[str, bytes], info: Mapping[str, str]) -> dict[str, bytes]:
    """The files of a bag, by name: the payload (names without `data/`) and its tag files.

    `info`: the fields of bag-info.txt; the size of the payload is added.
    """
    files = {f"data/{name}": held for name, held in payload.items()}
    size = f"{sum(map(len, files.values()))}.{len(files)}"
    lines = [f"{name}: {' '.join(text.split())}\n" for name, text in {**info, "Payload-Oxum": size}.items()]
    tags = {
        _DECLARATION: _DECLARED.encode(),
        _INFO: "".join(lines).encode(),
        MANIFEST: _manifest(files),
    }
    return {**tags, TAG_MANIFEST: _manifest(tags), **files}


def _manifest(files: Mapping[str, bytes]) -> bytes:
    lines = (f"{hashlib.sha256(files[name]).hexdigest()}  {_escaped(name)}\n" for name in sorted(files))
    return "".join(lines).encode()


def _escaped(name: str) -> str:
    return "".join(_ESCAPED.get(sign, sign) for sign in name)


def problems_of(
    sizes: Mapping[str, int], digest: Callable[[str], str | None], text: Callable[[str], str | None]
) -> list[str]:
    """What does not fit in a bag, as sentences; none: its files are as they were when its manifests were written.

    `sizes`: bytes by name, as told. `digest` gives the SHA-256 of a file, `text` its text; None if it is damaged.
    """
    missing = [name for name in (_DECLARATION, MANIFEST) if name not in sizes]
    if missing:
        return [f"{name} is missing" for name in missing]
    problems = []
    if not _VERSIONS.fullmatch(text(_DECLARATION) or ""):
        problems.append(f"{_DECLARATION} is not that of a bag of version 1.0")
    payload = {name for name in sizes if name.startswith("data/")}
    listed, unread = _listed(text(MANIFEST))
    problems += [f"{MANIFEST}: line {number} cannot be read" for number in unread]
    problems += _against(listed, sizes, digest)
    problems += [f"{name} is in no manifest" for name in sorted(payload - listed.keys())]
    if TAG_MANIFEST in sizes:
        tags, unread = _listed(text(TAG_MANIFEST))
        problems += [f"{TAG_MANIFEST}: line {number} cannot be read" for number in unread]
        problems += _against(tags, sizes, digest)
    problems += _size_told(text(_INFO) if _INFO in sizes else "", sizes, payload)
    return problems


def _against(listed: Mapping[str, str], sizes: Mapping[str, int], digest: Callable[[str], str | None]) -> list[str]:
    problems = []
    for name, ought in sorted(listed.items()):
        if name not in sizes:
            problems.append(f"{name} is missing")
        elif digest(name) != ought:
            problems.append(f"{name} was changed")
    return problems


def _listed(text: str | None) -> tuple[dict[str, str], list[int]]:
    """The digests that a manifest lists, by name, and the numbers of lines that cannot be read."""
    found: dict[str, str] = {}
    unread = []
    for number, line in enumerate(_LINE_END.split((text or "").removesuffix("\n")), 1):
        read = _LINE.fullmatch(line)
        if read is None:
            unread.append(number)
            continue
        name = _unescaped(read[2])
        if name in found:
            unread.append(number)
        found[name] = read[1].lower()
    return found, [0] if text is None else unread


def _unescaped(name: str) -> str:
    return re.sub(r"%(25|0[AaDd])", lambda found: unquote(found[0]), name).removeprefix("./")


def _size_told(info: str | None, sizes: Mapping[str, int], payload: set[str]) -> list[str]:
    told = re.search(r"^Payload-Oxum: *(\S+)", info or "", re.MULTILINE | re.IGNORECASE)
    found = f"{sum(sizes[name] for name in payload)}.{len(payload)}"
    return [f"{_INFO} tells of {told[1]} (bytes.files), there are {found}"] if told and told[1] != found else []
