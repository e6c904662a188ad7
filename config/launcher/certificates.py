"""The certificates by which phones open the shop over HTTPS in its own network: one authority for each set of names,
that can vouch for nothing else, and a new server certificate at every start."""

import ipaddress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from config.launcher.place import write_secret

# iOS 13 and later take server certificates of authorities that a person added for up to 825 days (Apple's
# requirements for trusted certificates, from memory); a public one runs 398 at most (from memory). This is below both.
SERVER_LASTS = timedelta(days=397)
AUTHORITY_LASTS = timedelta(days=3650)
# A phone's clock may be behind ours.
BACKDATED = timedelta(days=1)


@dataclass(frozen=True)
class Names:
    """What phones call the shop's machine: its address in the network, and `host`, such as shop.local."""

    address: ipaddress.IPv4Address
    host: str


@dataclass(frozen=True)
class Certificates:
    """`server`: PEM, key and certificate, for the web server only. `authority`: DER, for everybody.

    `fingerprint`: the authority's SHA-256, as phones show it. `anew`: the authority is another than before, which
    phones have to be told.
    """

    server: Path
    authority: Path
    fingerprint: str
    expires: datetime
    anew: bool


def prepare_certificates(folder: Path, names: Names, *, now: datetime | None = None) -> Certificates:
    """Makes what is missing in `folder`, and the server's certificate anew. Raises OSError where it can't be written.

    The authority of these names stays until it is too old to vouch for a whole server certificate; names that come
    back (a laptop between two networks) find theirs again.
    """
    now = now or datetime.now(UTC)
    folder.mkdir(mode=0o700, exist_ok=True)
    kept = folder / f"authority-{names.address}-{names.host}.pem"
    pair = _read(kept)
    anew = False
    if pair is None or not _serves(pair[1], now):
        anew = any(folder.glob("authority-*.pem"))
        pair = _make_authority(names, now)
        write_secret(kept, _pem(*pair))
    key, authority = pair
    expires = now + SERVER_LASTS
    server_key = ec.generate_private_key(ec.SECP256R1())
    server = folder / "server.pem"
    write_secret(server, _pem(server_key, sign_server(key, authority, server_key.public_key(), names, now, expires)))
    public = folder / "authority.der"
    public.write_bytes(authority.public_bytes(serialization.Encoding.DER))
    fingerprint = authority.fingerprint(hashes.SHA256()).hex(" ").upper()
    return Certificates(server, public, fingerprint, expires, anew)


def _read(path: Path) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate] | None:
    """The authority in the file; None where there is none, or it can't be read."""
    try:
        data = path.read_bytes()
        key = serialization.load_pem_private_key(data, password=None)
        certificate = x509.load_pem_x509_certificate(data)
    except (FileNotFoundError, ValueError):
        return None
    if not isinstance(key, ec.EllipticCurvePrivateKey) or key.public_key() != certificate.public_key():
        return None
    return key, certificate


def _serves(authority: x509.Certificate, now: datetime) -> bool:
    """Whether it holds now and for as long as a server certificate made now."""
    begun = authority.not_valid_before_utc <= now - BACKDATED
    return begun and now + SERVER_LASTS <= authority.not_valid_after_utc


def _pem(key: ec.EllipticCurvePrivateKey, certificate: x509.Certificate) -> str:
    """Both in one file, so that a power cut can't leave a key beside the certificate of another."""
    private = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    return (private + certificate.public_bytes(serialization.Encoding.PEM)).decode("ascii").rstrip()


def _make_authority(names: Names, now: datetime) -> tuple[ec.EllipticCurvePrivateKey, x509.Certificate]:
    """Name constraints by RFC 5280, 4.2.1.10. Both kinds of names must be listed: a kind that isn't, is free."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = _called(f"Gaugerod on {names.address}")
    builder = (
        _certificate(name, name, key.public_key(), now - BACKDATED, now + AUTHORITY_LASTS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs_certificates=True), critical=True)
        .add_extension(
            x509.NameConstraints(
                permitted_subtrees=[
                    x509.IPAddress(ipaddress.IPv4Network(names.address)),
                    x509.DNSName(names.host),
                ],
                excluded_subtrees=None,
            ),
            critical=True,
        )
    )
    return key, builder.sign(key, hashes.SHA256())


def sign_server(
    key: ec.EllipticCurvePrivateKey,
    authority: x509.Certificate,
    server: ec.EllipticCurvePublicKey,
    names: Names,
    now: datetime,
    expires: datetime,
) -> x509.Certificate:
    """A server certificate for `names` by the authority and its key, whatever its constraints say."""
    alternatives = x509.SubjectAlternativeName([x509.IPAddress(names.address), x509.DNSName(names.host)])
    return (
        _certificate(_called(str(names.address)), authority.subject, server, now - BACKDATED, expires - BACKDATED)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(alternatives, critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _certificate(
    subject: x509.Name, issuer: x509.Name, public: ec.EllipticCurvePublicKey, begins: datetime, ends: datetime
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(public)
        .serial_number(x509.random_serial_number())
        .not_valid_before(begins)
        .not_valid_after(ends)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(public), critical=False)
    )


def _called(text: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def _usage(*, signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )
