"""A message sealed for one browser (RFC 8291, 8188), and what proves who sends it (RFC 8292).

Nothing here draws at random: whoever seals brings the ephemeral key and the salt. Importing this
imports `cryptography`, which takes 50 ms and 12 MB: only who rings a phone does.
"""

import json
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from urllib.parse import urlsplit

from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.asymmetric.utils import decode_dss_signature
from cryptography.hazmat.primitives.ciphers.aead import AESGCM
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.kdf.hkdf import HKDF
from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

from scheduler.tokens.base64url import encoded

SALT_OCTETS = 16
_RECORD_OCTETS = 4096  # RFC 8188 §2.1: one record holds it all
_COORDINATE_OCTETS = 32
_LAST = b"\x02"  # RFC 8188 §2: the delimiter of the last record; zeros after it are padding
TOKEN_LASTS = timedelta(hours=12)  # RFC 8292 §2 allows 24; either clock may be wrong
TOKEN_RENEWED = timedelta(hours=1)  # before its end


def new_ephemeral() -> ec.EllipticCurvePrivateKey:
    """A key for one message."""
    return ec.generate_private_key(ec.SECP256R1())


def sealed(  # noqa: PLR0913 - the five inputs of RFC 8291 §3.4, and how much is padded
    text: bytes,
    *,
    p256dh: bytes,
    auth: bytes,
    ephemeral: ec.EllipticCurvePrivateKey,
    salt: bytes,
    padded_to: int = 0,
) -> bytes:
    """The body of the request; the text is made `padded_to` octets long with zeros.

    Raises:
        ValueError: `p256dh` is no point of the curve.
    """
    theirs = ec.EllipticCurvePublicKey.from_encoded_point(ec.SECP256R1(), p256dh)
    ours = _point(ephemeral)
    secret = ephemeral.exchange(ec.ECDH(), theirs)
    keying = _derived(secret, auth, b"WebPush: info\0" + p256dh + ours, 32)
    key = _derived(keying, salt, b"Content-Encoding: aes128gcm\0", 16)
    nonce = _derived(keying, salt, b"Content-Encoding: nonce\0", 12)
    plain = text + _LAST + bytes(max(padded_to - len(text), 0))
    header = salt + _RECORD_OCTETS.to_bytes(4) + bytes([len(ours)]) + ours
    return header + AESGCM(key).encrypt(nonce, plain, None)


@dataclass(slots=True)
class Sender:
    """Proves to push services who sends (VAPID): one token for each, kept while it is good.

    `private` and `public` are the pair that browsers were asked with, `subject` is where the
    operator is found, an address of https or mailto.
    """

    private: bytes = field(repr=False)
    public: str
    subject: str
    _tokens: dict[str, tuple[str, datetime]] = field(default_factory=dict, init=False, repr=False)

    def authorization(self, endpoint: str, now: datetime) -> str:
        """The header of that name for a request to the endpoint."""
        url = urlsplit(endpoint)
        origin = f"{url.scheme}://{url.netloc}"
        token, ends = self._tokens.get(origin, ("", now))
        # A clock that was set back leaves one that ends too late to be taken.
        if not TOKEN_RENEWED <= ends - now <= TOKEN_LASTS:
            ends = now + TOKEN_LASTS
            token = self._signed({"aud": origin, "exp": int(ends.timestamp()), "sub": self.subject})
            self._tokens[origin] = token, ends
        return f"vapid t={token}, k={self.public}"

    def _signed(self, claims: dict[str, str | int]) -> str:
        said = f"{_json({'typ': 'JWT', 'alg': 'ES256'})}.{_json(claims)}"
        key = ec.derive_private_key(int.from_bytes(self.private), ec.SECP256R1())
        # JWS wants r and s one after the other (RFC 7518 §3.4), not in DER.
        parts = decode_dss_signature(key.sign(said.encode(), ec.ECDSA(SHA256())))
        return f"{said}.{encoded(b''.join(part.to_bytes(_COORDINATE_OCTETS) for part in parts))}"


def _point(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.public_key().public_bytes(Encoding.X962, PublicFormat.UncompressedPoint)


def _derived(secret: bytes, salt: bytes, info: bytes, octets: int) -> bytes:
    return HKDF(algorithm=SHA256(), length=octets, salt=salt, info=info).derive(secret)


def _json(claims: dict[str, str | int] | dict[str, str]) -> str:
    return encoded(json.dumps(claims, separators=(",", ":")).encode())
