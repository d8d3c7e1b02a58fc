"""The keys of whoever works on this machine: the own one, and those of others that were given elsewhere.

They lie in the folder for a person's own data, not in a record: `check` needs no record, and a secret must not be in a
backup of one.
"""

from __future__ import annotations

import secrets
from pathlib import Path

from inventory.errors import Refused
from inventory.papers.passport.signing import KEY_BYTES, fingerprint_of, is_small, public_of
from inventory.store.files import read_at_most, whole_file
from inventory.store.systems import private_folder, write_text
from inventory.store.words.text import clean

__all__ = ["known_keys", "own_key", "trust"]

_SECRET, _KNOWN = "passport-key", "passport-keys-known"
_MOST = 1_000_000


def _folder() -> Path:
    from platformdirs import user_data_path

    return user_data_path("matchmark")


def own_key(*, make: bool) -> bytes | None:
    """The secret key; without one, a new one if `make`. Raises `Refused` without the library for signatures."""
    need_library()
    path = _folder() / _SECRET
    if not path.exists():
        if not make:
            return None
        _write(path, secrets.token_bytes(KEY_BYTES).hex() + "\n")
    try:
        secret = bytes.fromhex(read_at_most(path, _MOST).decode().strip())
        public_of(secret)
    except ValueError:
        raise Refused("key-not-readable", f"{path} is no key", hint="move it away; a new one is then made") from None
    return secret


def need_library() -> None:
    """Raises `Refused` where the library for signatures is not installed."""
    try:
        import cryptography.hazmat.primitives.asymmetric.ed25519  # noqa: F401 - only whether it is there
    except ImportError:
        hint = "pip install 'matchmark[signatures]'"
        raise Refused("signatures-not-read", "Signatures need one more package", hint=hint) from None


def known_keys() -> dict[str, str]:
    """The names under which public keys are known here, by key."""
    path = _folder() / _KNOWN
    if not path.exists():
        return {}
    lines = read_at_most(path, _MOST).decode("utf-8", "replace").splitlines()
    return {key: name for key, _, name in (line.partition(" ") for line in lines) if name}


def trust(name: str, key: str) -> str:
    """Know a public key under a name from now on. Returns the key's fingerprint, to be compared with its owner."""
    plain, named = "".join(key.split()).lower(), clean(name)
    if len(plain) != 2 * KEY_BYTES or plain.strip("0123456789abcdef"):
        raise Refused("not-a-key", "A public key has 64 signs, 0 to 9 and a to f", hint="matchmark passport key")
    if is_small(plain):
        raise Refused("not-a-key", "With this key anybody could sign anything", hint="ask for another one")
    if not named:
        raise Refused("key-without-name", "Say whose key it is")
    known = known_keys()
    other = next((each for each, called in known.items() if called.casefold() == named.casefold()), plain)
    if other != plain:
        says = f"{named} is known here with another key, {fingerprint_of(other)}"
        raise Refused("key-of-another", says, hint="ask which of the two is right; give the new one a name of its own")
    known[plain] = named
    _write(_folder() / _KNOWN, "".join(f"{each} {called}\n" for each, called in known.items()))
    return fingerprint_of(plain)


def _write(path: Path, text: str) -> None:
    """Write a file that nobody else can read."""
    private_folder(path.parent)
    with whole_file(path, overwrite=True) as part:
        write_text(part, text)
