"""Identifiers that sort by the time they were made (RFC 9562)."""

import hashlib
import secrets
import time
import uuid


def uuid7(unix_ms: int | None = None, random_bits: int | None = None) -> str:
    """A UUID of version 7 as lower-case text.

    `unix_ms` [ms since 1970] and `random_bits` (74 bits) are arguments for tests; the clock and the
    system's randomness fill them in otherwise. Layout: RFC 9562 section 5.7.

    >>> uuid7(0x017F22E279B0, (0xCC3 << 62) | 0x18C4DC0C0C07398F)
    '017f22e2-79b0-7cc3-98c4-dc0c0c07398f'
    """
    unix_ms = time.time_ns() // 1_000_000 if unix_ms is None else unix_ms
    random_bits = secrets.randbits(74) if random_bits is None else random_bits
    value = (unix_ms & (2**48 - 1)) << 80 | 7 << 76 | (random_bits >> 62) << 64 | 2 << 62 | random_bits & (2**62 - 1)
    return str(uuid.UUID(int=value))


def uuid8(*parts: str) -> str:
    """A UUID of version 8 derived from `parts`: the same words give the same id (RFC 9562 section 5.8)."""
    digest = hashlib.sha256("\x1f".join(parts).encode()).digest()[:16]
    value = int.from_bytes(digest, "big")
    value = value & ~(0xF << 76) | 8 << 76
    value = value & ~(0x3 << 62) | 2 << 62
    return str(uuid.UUID(int=value))
