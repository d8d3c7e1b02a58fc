"""Ed25519 (RFC 8032): a key, a signature, and whether it fits. The library for it is the extra `signatures`."""

from __future__ import annotations

import hashlib

__all__ = ["KEY_BYTES", "SMALL_ORDER", "fingerprint_of", "fits", "is_small", "public_of", "signed"]

#: A key, secret or public, has so many bytes; written as hexadecimal text.
KEY_BYTES = 32
#: Points of small order, as they are written (RFC 8032, 5.1.2), in every form that is read, without the sign's bit.
#: With one as key, a signature that nobody made can fit. A test works out that eight times each is the neutral element.
SMALL_ORDER = frozenset(
    bytes.fromhex(text)
    for text in (
        "00" * 32,
        "01" + "00" * 31,
        "ec" + "ff" * 30 + "7f",
        "ed" + "ff" * 30 + "7f",
        "ee" + "ff" * 30 + "7f",
        "26e8958fc2b227b045c3f489f2ef98f0d5dfac05d3c63339b13802886d53fc05",
        "c7176a703d4dd84fba3c0b760d10670f2a2053fa2c39ccc64ec7fd7792ac037a",
    )
)


def public_of(secret: bytes) -> str:
    """The public key of a secret one, hexadecimal. Raises `Refused` without the library."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    return Ed25519PrivateKey.from_private_bytes(secret).public_key().public_bytes_raw().hex()


def signed(secret: bytes, text: bytes) -> str:
    """The signature of a text, hexadecimal. Raises `Refused` without the library."""
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

    return Ed25519PrivateKey.from_private_bytes(secret).sign(text).hex()


def fits(key: str, signature: str, text: bytes) -> bool:
    """Whether a signature (hexadecimal) is that of a text, by a public key, which is no point of small order.

    Raises `Refused` without the library.
    """
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    try:
        if is_small(key):
            return False
        Ed25519PublicKey.from_public_bytes(bytes.fromhex(key)).verify(bytes.fromhex(signature), text)
    except (InvalidSignature, ValueError):
        return False
    return True


def is_small(key: str) -> bool:
    """Whether a public key (hexadecimal) is a point of small order, by which anything could be signed."""
    *first, last = bytes.fromhex(key) or b"?"
    return bytes([*first, last & 0x7F]) in SMALL_ORDER


def fingerprint_of(key: str) -> str:
    """What is compared of a public key, over the telephone: eight groups of four."""
    digest = hashlib.sha256(bytes.fromhex(key)).hexdigest()[:32]
    return " ".join(digest[place : place + 4] for place in range(0, 32, 4))
