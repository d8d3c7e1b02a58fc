"""Ed25519 (RFC 8032): a key, a signature, and whether it fits. The library for it is the extra `signatures`."""

from __future__ import annotations

import hashlib

__all__ = ["KEY_BYTES", "fingerprint_of", "fits", "public_of", "signed"]

#: A key, secret or public, has so many bytes; written as hexadecimal text.
KEY_BYTES = 32


def public_of(secret: bytes) -> str:
    """The public key of a secret one, hexadecimal. Raises `Refused` without the library."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    return Ed25519PrivateKey.from_private_bytes(secret).public_key().public_bytes_raw().hex()


def signed(secret: bytes, text: bytes) -> str:
    """The signature of a text, hexadecimal. Raises `Refused` without the library."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    return Ed25519PrivateKey.from_private_bytes(secret).sign(text).hex()


def fits(key: str, signature: str, text: bytes) -> bool:
    """Whether a signature (hexadecimal) is that of a text, by a public key. Raises `Refused` without the library."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(key)).verify(bytes.fromhex(signature), text)
    except (InvalidSignature, ValueError):
        return False
    return True


def fingerprint_of(key: str) -> str:
    """What is compared of a public key, over the telephone: eight groups of four."""
    digest = hashlib.sha256(bytes.fromhex(key)).hexdigest()[:32]
    return " ".join(digest[place : place + 4] for place in range(0, 32, 4))
