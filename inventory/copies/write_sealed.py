"""Encrypts backups and reads them back: the open age format, version 1 (age-encryption.org/v1), by a passphrase.

The library holds all of a file in memory, so the zip is made there too: nothing of it lies on the disk in plain.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

from inventory.errors import Refused
from inventory.store.files import read_at_most

__all__ = ["ENDING", "MOST", "SEALED", "passphrase_in", "sealed", "unsealed"]

ENDING = ".age"
#: How an encrypted file begins.
SEALED = b"age-encryption.org/v1\n"
#: The largest file that is encrypted (bytes): it is held in memory three times.
MOST = 1_000_000_000


def passphrase_in(path: Path) -> str:
    """The first line of a file. Raises `Refused` if there is none, or the file cannot be read."""
    try:
        line = read_at_most(path, 10_000).decode().partition("\n")[0].strip("\r")
    except UnicodeDecodeError:
        line = ""
    if not line:
        raise Refused("no-passphrase", f"{path} has no passphrase in its first line", where=str(path))
    return line


def sealed(plain: bytes, passphrase: str) -> bytes:
    """Encrypted bytes; `age -d` reads them too."""
    library = _library()
    if len(plain) > MOST:
        raise Refused(
            "too-large-to-encrypt",
            f"The copy has {len(plain) // 1_000_000:,} MB; at most {MOST // 1_000_000:,} MB are encrypted",
            hint="keep the copy on an encrypted disk: matchmark backup FILE.zip",
        )
    return bytes(library.passphrase.encrypt(plain, passphrase))


def unsealed(held: bytes, passphrase: str) -> bytes:
    """The plain bytes. Raises `Refused` for a wrong passphrase and for a damaged file, which look alike."""
    library = _library()
    try:
        return bytes(library.passphrase.decrypt(held, passphrase))
    except library.DecryptError:
        raise Refused(
            "not-decrypted",
            "The backup cannot be decrypted: either the passphrase is another one, or the file is damaged",
        ) from None


def _library() -> Any:
    try:
        import pyrage
    except ModuleNotFoundError:
        raise Refused(
            "no-encryption",
            "The library that encrypts backups is not installed",
            hint="pip install 'matchmark[encrypted]'",
        ) from None
    return pyrage
