"""One-time codes as arithmetic: what is a right code now, what a recovery code is kept as, how a key is shown.

Codes are those of RFC 6238 (six digits, 30 seconds, SHA-1), computed by django-otp.
"""

from __future__ import annotations

import base64
import hashlib
import secrets

import segno
from django_otp.oath import TOTP
from django_otp.plugins.otp_totp.models import TOTPDevice

KEY_BYTES = 20  # RFC 4226, section 4, R6 recommends a secret of 160 bits
STEP_S = 30
DIGITS = 6
# One step early or late is accepted, as RFC 6238, section 5.2, recommends: clocks differ and people type slowly.
STEPS_OFF = 1

RECOVERY_CODES = 10
RECOVERY_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"  # without those that look alike: i l o 0 1
RECOVERY_LENGTH = 10  # 31^10, about 50 bits
# scrypt (RFC 7914) with 16 MB of memory: N, r and p are those of its author's paper for interactive use, from memory.
SCRYPT_N, SCRYPT_R, SCRYPT_P, DIGEST_BYTES = 2**14, 8, 1, 12


def new_key() -> str:
    """A fresh secret, in hexadecimal."""
    return secrets.token_hex(KEY_BYTES)


def key_in_groups(key: str) -> str:
    """The secret as people type it: base 32 (RFC 4648) in groups of four."""
    text = base64.b32encode(bytes.fromhex(key)).decode()
    return " ".join(text[start : start + 4] for start in range(0, len(text), 4))


def key_picture(device: TOTPDevice) -> str:
    """The secret as a QR code (ISO/IEC 18004): a data: address of an SVG, dark on light in any colour scheme."""
    picture = segno.make(device.config_url, error="m", micro=False)
    return picture.svg_data_uri(scale=5, border=4, dark="#000", light="#fff")


def matching_step(key: str, code: str, at_s: float, *, after: int = -1) -> int | None:
    """The time step of which this is the code, later than the step `after`; None when there is none.

    `at_s` is seconds since 1970. A step that was used is given as `after` next time, so that no code works twice.
    """
    totp = TOTP(bytes.fromhex(key), step=STEP_S, digits=DIGITS)
    totp.time = at_s
    return totp.t() if totp.verify(int(code), STEPS_OFF, after + 1) else None


def is_code(typed: str) -> bool:
    return len(typed) == DIGITS and typed.isascii() and typed.isdigit()


def as_typed(text: str) -> str:
    """Without what people put between groups; small letters."""
    return "".join(letter for letter in text.lower() if letter not in " -\t\n")


def new_recovery_code() -> str:
    letters = "".join(secrets.choice(RECOVERY_LETTERS) for _ in range(RECOVERY_LENGTH))
    return f"{letters[:5]}-{letters[5:]}"


def recovery_digest(code: str, salt: str) -> str:
    """What is kept of a recovery code: 16 characters, from which it cannot be read."""
    digest = hashlib.scrypt(
        as_typed(code).encode(), salt=salt.encode(), n=SCRYPT_N, r=SCRYPT_R, p=SCRYPT_P, dklen=DIGEST_BYTES
    )
    return base64.urlsafe_b64encode(digest).decode()
