"""Certificate: https under the grower's own names, by an authority of their own.

Three files lie in one folder: what phones are to trust, which is public, what signs,
and what the server shows. The authority's own key is never written: it signs one
signer and is forgotten. Both are bound to the served names (RFC 5280, 4.2.1.10), so
that whoever steals a file can speak for these names alone.
"""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path
from typing import Final

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from arbuscula.desk.fresh import explained, fresh
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.web.guard import LOOPBACK

FOLDER: Final = "certificate"
AUTHORITY, SIGNER, SERVER = "authority.pem", "signer.pem", "server.pem"
AUTHORITY_LASTS: Final = timedelta(days=5 * 365)
SERVER_LASTS: Final = timedelta(days=397)  # phones refuse one of more than 825 days
RENEWED_BEFORE: Final = timedelta(days=30)
CLOCKS_DIFFER: Final = timedelta(days=1)  # a phone's may run behind
Key = ec.EllipticCurvePrivateKey


@dataclass(frozen=True, slots=True, kw_only=True)
class Certified:
    """What a server shows, and what whoever trusts it has to know."""

    server: Path  # its key, its certificate and that of its signer
    authority: Path
    fingerprint: str  # of the authority
    names: tuple[str, ...]  # for which the authority can speak, and no others
    until: datetime  # the authority ends then
    is_new: bool  # whoever trusted an older one has to trust this one anew


@dataclass(frozen=True, slots=True, kw_only=True)
class Signing:
    """A certificate and its key."""

    certificate: x509.Certificate
    key: Key


def certified(home: Path, names: Collection[str], now: datetime) -> Certified:
    """Return a certificate for these names; it is made, or renewed, if it must be."""
    folder = home / FOLDER
    with explained(folder):
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    wanted = {_general(name) for name in (*LOOPBACK, *names) if not _is_any(name)}
    known = _known(folder, wanted, now)
    authority, signer = known or _founded(folder, wanted, now)
    if known is None or not _serves(folder / SERVER, signer, wanted, now):
        _issue(folder / SERVER, signer, wanted, now)
    return Certified(
        server=folder / SERVER,
        authority=folder / AUTHORITY,
        fingerprint=authority.fingerprint(SHA256()).hex(":").upper(),
        names=tuple(sorted(map(_told, _permitted(authority)))),
        until=authority.not_valid_after_utc,
        is_new=known is None,
    )


# Names


def _is_any(name: str) -> bool:
    """Return whether this is no name, but every address of a machine."""
    try:
        return ip_address(name).is_unspecified
    except ValueError:
        return False


def _general(name: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_address(name))
    except ValueError:
        pass
    try:
        return x509.DNSName(name.lower().encode("idna").decode("ascii"))
    except UnicodeError:
        raise ArbusculaError(Said("certificate.name", {"found": name})) from None


def _bounds(name: x509.GeneralName) -> x509.GeneralName:
    """Return what allows one name, and of addresses this one alone."""
    if isinstance(name, x509.IPAddress):
        return x509.IPAddress(ip_network(str(name.value)))
    return name


def _permitted(authority: x509.Certificate) -> set[x509.GeneralName]:
    found = authority.extensions.get_extension_for_class(x509.NameConstraints)
    return set(found.value.permitted_subtrees or ())


def _told(name: x509.GeneralName) -> str:
    return str(name.value).partition("/")[0]


# What is there


def _known(
    folder: Path, wanted: set[x509.GeneralName], now: datetime
) -> tuple[x509.Certificate, Signing] | None:
    """Return the authority and its signer, if they still do for these names."""
    if not all((folder / name).exists() for name in (AUTHORITY, SIGNER)):
        return None
    authority, signer = _certificate(folder / AUTHORITY), _signing(folder / SIGNER)
    allowed = {_bounds(name) for name in wanted} <= _permitted(authority)
    lasts = authority.not_valid_after_utc - now > RENEWED_BEFORE
    if not allowed or not lasts or not _is_issued(signer.certificate, authority):
        return None
    return authority, signer


def _serves(
    path: Path, signer: Signing, wanted: set[x509.GeneralName], now: datetime
) -> bool:
    """Return whether a server's certificate is of these names, and lasts a while."""
    if not path.exists():
        return False
    one = _certificate(path)
    lasts = one.not_valid_after_utc - now > RENEWED_BEFORE
    return _names(path) == wanted and lasts and _is_issued(one, signer.certificate)


def _names(path: Path) -> set[x509.GeneralName]:
    """Return the names that a server's certificate is of."""
    found = _certificate(path).extensions
    return set(found.get_extension_for_class(x509.SubjectAlternativeName).value)


def _is_issued(one: x509.Certificate, by: x509.Certificate) -> bool:
    try:
        one.verify_directly_issued_by(by)
    except (InvalidSignature, ValueError, TypeError):
        return False
    return True


def _certificate(path: Path) -> x509.Certificate:
    try:
        return x509.load_pem_x509_certificates(path.read_bytes())[0]
    except ValueError:
        raise ArbusculaError(_damaged(path)) from None


def _signing(path: Path) -> Signing:
    try:
        key = load_pem_private_key(path.read_bytes(), password=None)
    except ValueError:
        raise ArbusculaError(_damaged(path)) from None
    if not isinstance(key, Key):
        raise ArbusculaError(_damaged(path))
    return Signing(certificate=_certificate(path), key=key)


def _damaged(path: Path) -> Said:
    return Said("certificate.damaged", {"file": str(path)})


# What is made


def _founded(
    folder: Path, wanted: set[x509.GeneralName], now: datetime
) -> tuple[x509.Certificate, Signing]:
    """Make an authority and the one signer that it ever has."""
    until, bounds = now + AUTHORITY_LASTS, {_bounds(name) for name in wanted}
    root, key = _new_key(), _new_key()
    named = f"arbuscula {now:%Y-%m-%d %H:%M}"
    blank = _blank(named, root, now, until)
    authority = _as_signer(blank, bounds, below_n=1).issuer_name(_name(named))
    trusted = authority.sign(root, SHA256())
    below = _as_signer(_blank(f"{named} signer", key, now, until), bounds, below_n=0)
    signer = Signing(
        certificate=_signed(below, Signing(certificate=trusted, key=root)), key=key
    )
    _write(folder / AUTHORITY, _pem(trusted))
    _write(folder / SIGNER, _key_pem(key) + _pem(signer.certificate))
    return trusted, signer


def _issue(
    path: Path, signer: Signing, wanted: set[x509.GeneralName], now: datetime
) -> None:
    """Make what the server shows."""
    key = _new_key()
    until = min(now + SERVER_LASTS, signer.certificate.not_valid_after_utc)
    names = x509.SubjectAlternativeName(sorted(wanted, key=_told))
    blank = (
        _blank("arbuscula", key, now, until)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(names, critical=False)
        .add_extension(_uses(signs=False), critical=True)
        .add_extension(
            x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False
        )
    )
    shown = _pem(_signed(blank, signer)) + _pem(signer.certificate)
    _write(path, _key_pem(key) + shown)


def _new_key() -> Key:
    return ec.generate_private_key(ec.SECP256R1())


def _name(common: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, common)])


def _blank(
    common: str, key: Key, now: datetime, until: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(_name(common))
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCKS_DIFFER)
        .not_valid_after(until)
        .add_extension(
            x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False
        )
    )


def _as_signer(
    blank: x509.CertificateBuilder, bounds: set[x509.GeneralName], *, below_n: int
) -> x509.CertificateBuilder:
    """Let a certificate sign others, within bounds."""
    allowed = sorted(bounds, key=_told)
    limits = x509.NameConstraints(permitted_subtrees=allowed, excluded_subtrees=None)
    return (
        blank.add_extension(
            x509.BasicConstraints(ca=True, path_length=below_n), critical=True
        )
        .add_extension(_uses(signs=True), critical=True)
        .add_extension(limits, critical=True)
    )


def _uses(*, signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs,
        key_cert_sign=signs,
        crl_sign=signs,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _signed(blank: x509.CertificateBuilder, by: Signing) -> x509.Certificate:
    above = by.certificate.extensions.get_extension_for_class(x509.SubjectKeyIdentifier)
    known = x509.AuthorityKeyIdentifier.from_issuer_subject_key_identifier(above.value)
    return (
        blank.issuer_name(by.certificate.subject)
        .add_extension(known, critical=False)
        .sign(by.key, SHA256())
    )


def _pem(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(Encoding.PEM)


def _key_pem(key: Key) -> bytes:
    return key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())


def _write(path: Path, told: bytes) -> None:
    with fresh(path) as new:
        new.write_bytes(told)
