"""The operator's electronic signature on a finished PDF: PAdES, set last, so that any later change of a byte shows."""

import io
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from asn1crypto import keys as asn1_keys
from asn1crypto import pem
from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import NameOID
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.sign import PdfSignatureMetadata, PdfSigner, SimpleSigner
from pyhanko.sign.fields import SigSeedSubFilter
from pyhanko_certvalidator.registry import SimpleCertificateStore

FIELD: Final = "Operator"
REASON: Final = "Printed from the operator's electronic record"
YEARS: Final = 10  # that a certificate which an operator issues itself lasts
SHOWN: Final = 16  # hexadecimal digits of a certificate's SHA-256


class SealUnusable(Exception):
    """A key or certificate that cannot sign; the message says why."""


@dataclass(frozen=True)
class Seal:
    """The operator's key and certificates, the signing one first, and what a print says of them."""

    certificate: x509.Certificate
    chain: tuple[x509.Certificate, ...]
    key: Any

    @property
    def is_self_issued(self) -> bool:
        """Return whether nobody but the operator vouches for the certificate."""
        return self.certificate.issuer == self.certificate.subject

    @property
    def words(self) -> str:
        """Return what is printed of the signature, in one line."""
        digest = self.certificate.fingerprint(hashes.SHA256()).hex()[:SHOWN]
        if self.is_self_issued:
            return f"Electronically signed file; self-issued certificate {digest}."
        return f"Electronically signed file; certificate {digest} of {name_of(self.certificate.issuer)}."


def name_of(name: x509.Name) -> str:
    """Return whom a certificate names.

    Parameters
    ----------
    name : x509.Name
        Subject or issuer.

    Returns
    -------
    str
        The common name, or the organization where there is none, or the whole in one line.
    """
    for part in (NameOID.COMMON_NAME, NameOID.ORGANIZATION_NAME):
        found = name.get_attributes_for_oid(part)
        if found:
            return str(found[0].value)
    return name.rfc4514_string()


def seal_read(key: bytes, certificates: bytes, *, at: datetime) -> Seal:
    """Return a seal from a private key and its certificate.

    Parameters
    ----------
    key : bytes
        The private key, PEM, not encrypted.
    certificates : bytes
        The certificate, PEM, those that issued it after it.
    at : datetime
        When it is to sign.

    Returns
    -------
    Seal
        Key and certificates that belong together and hold at that moment.

    Raises
    ------
    SealUnusable
        If either can't be read, they do not belong together, or the certificate does not hold at that moment.
    """
    try:
        private = load_pem_private_key(key, password=None)
        first, *chain = x509.load_pem_x509_certificates(certificates)
    except (ValueError, TypeError) as error:
        raise SealUnusable(f"the key or the certificate can't be read: {error}") from error
    if _public(first.public_key()) != _public(private.public_key()):
        raise SealUnusable("the certificate belongs to another key")
    if not first.not_valid_before_utc <= at <= first.not_valid_after_utc:
        span = f"{first.not_valid_before_utc:%Y-%m-%d} to {first.not_valid_after_utc:%Y-%m-%d}"
        raise SealUnusable(f"the certificate holds from {span}")
    return Seal(first, tuple(chain), private)


def _public(key: Any) -> bytes:
    return bytes(key.public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo))


def self_issued(organization: str, at: datetime) -> tuple[bytes, bytes]:
    """Return a new key and a certificate that its owner issues itself.

    Parameters
    ----------
    organization : str
        Whom it names.
    at : datetime
        From when on it holds.

    Returns
    -------
    tuple of bytes and bytes
        The private key on the curve P-256 and the certificate, both PEM.
    """
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, organization[:64]),
            x509.NameAttribute(NameOID.COMMON_NAME, f"{organization[:50]}, prints"),
        ]
    )
    usage = dict.fromkeys(
        ("key_encipherment", "data_encipherment", "key_agreement", "key_cert_sign", "crl_sign"), False
    )
    certificate = (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at.astimezone(UTC) - timedelta(minutes=1))
        .not_valid_after(at.astimezone(UTC) + timedelta(days=365 * YEARS))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(
            x509.KeyUsage(
                digital_signature=True, content_commitment=True, encipher_only=False, decipher_only=False, **usage
            ),
            critical=True,
        )
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    pem_key = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return pem_key, certificate.public_bytes(Encoding.PEM)


class _Appending(IncrementalPdfFileWriter):
    """What appends the signature, and leaves the version of the file alone, since PDF/A-2 is of version 1.7."""

    def ensure_output_version(self, version: tuple[int, int]) -> None:
        """Change nothing."""


def _signer(seal: Seal) -> SimpleSigner:
    store = SimpleCertificateStore()  # type: ignore[no-untyped-call]
    store.register_multiple([_asn1(certificate) for certificate in (seal.certificate, *seal.chain)])
    private = seal.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    key = asn1_keys.PrivateKeyInfo.load(pem.unarmor(private)[2])
    return SimpleSigner(_asn1(seal.certificate), key, store)


def _asn1(certificate: x509.Certificate) -> asn1.Certificate:
    return asn1.Certificate.load(certificate.public_bytes(Encoding.DER))


def seal_file(path: Path, seal: Seal) -> None:
    """Sign a finished PDF in its place, the whole of it.

    Parameters
    ----------
    path : Path
        The file; the signature is appended, what is there stays as it is.
    seal : Seal
        The operator's.

    References
    ----------
    ETSI EN 319 142-1, PAdES baseline signatures; ISO 32000-1, 12.8.
    """
    metadata = PdfSignatureMetadata(field_name=FIELD, reason=REASON, subfilter=SigSeedSubFilter.PADES)
    with path.open("r+b") as file:
        PdfSigner(metadata, _signer(seal)).sign_pdf(_Appending(file), in_place=True)


def sealed(content: bytes, seal: Seal | None) -> bytes:
    """Return a finished PDF with the operator's signature, or as it is without a seal.

    Parameters
    ----------
    content : bytes
        The PDF.
    seal : Seal or None
        The operator's.

    Returns
    -------
    bytes
        The PDF, its beginning the same bytes.
    """
    if seal is None:
        return content
    metadata = PdfSignatureMetadata(field_name=FIELD, reason=REASON, subfilter=SigSeedSubFilter.PADES)
    written = PdfSigner(metadata, _signer(seal)).sign_pdf(_Appending(io.BytesIO(content)))
    return bytes(written.getvalue())
