"""The operator's signature on a print: valid by two validators, found broken by one flipped byte, and told in words."""

import datetime
import io
import subprocess
from functools import cache
from pathlib import Path

import pytest
from asn1crypto import pem
from asn1crypto import x509 as asn1
from cryptography import x509
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat
from cryptography.x509.oid import NameOID
from pikepdf import Pdf, pdfa
from pyhanko.pdf_utils.reader import PdfFileReader
from pyhanko.sign.validation import validate_pdf_signature
from pyhanko.sign.validation.status import PdfSignatureStatus
from pyhanko_certvalidator import ValidationContext

from logbook.printing.blocks import paragraph
from logbook.printing.paper import PAPERS
from logbook.printing.running import Chapter, Stamp
from logbook.printing.sealing import Seal, SealUnusable, name_of, seal_file, seal_read, sealed, self_issued
from logbook.printing.sets import document
from tests.harness.poppler import poppler_ensure
from tests.logbook.printing.bodies import STAMPED
from tests.logbook.printing.reading import text_of
from tests.logbook.printing.running_lines import running

NOW = datetime.datetime.now(datetime.UTC)
DAY = datetime.timedelta(days=1)


@cache
def own() -> tuple[bytes, bytes]:
    return self_issued("Testholm Flying Service", NOW)


@cache
def seal() -> Seal:
    return seal_read(*own(), at=NOW)


@cache
def printed() -> bytes:
    stamp = Stamp(STAMPED, "Test Reader", seal().words)
    return document([Chapter(running(stamp=stamp), [paragraph("A text.")])], paper=PAPERS["a4"], title="A print")


@cache
def signed() -> bytes:
    return sealed(printed(), seal())


def validated(content: bytes, roots: list[bytes]) -> PdfSignatureStatus:
    """Return what pyHanko says of the one signature, trusting these certificates alone and asking nobody."""
    trusted = [asn1.Certificate.load(pem.unarmor(root)[2]) for root in roots]
    context = ValidationContext(trust_roots=trusted, allow_fetching=False)
    (signature,) = PdfFileReader(io.BytesIO(content)).embedded_signatures
    return validate_pdf_signature(signature, context)


def said_by_poppler(content: bytes, folder: Path) -> str:
    """Return what poppler's pdfsig says."""
    file = folder / "print.pdf"
    file.write_bytes(content)
    command = [poppler_ensure(), "-nocert", str(file)]
    return subprocess.run(command, capture_output=True, text=True, check=False, timeout=60).stdout


def test_a_signed_print_is_valid_by_the_library() -> None:
    status = validated(signed(), [own()[1]])
    assert (status.intact, status.valid, status.trusted) == (True, True, True)
    assert status.coverage.name == "ENTIRE_FILE"


def test_a_signed_print_is_valid_by_poppler(tmp_path: Path) -> None:
    said = said_by_poppler(signed(), tmp_path)
    assert "Signature Type: ETSI.CAdES.detached" in said
    assert "Signature is Valid." in said
    assert "Total document signed" in said
    assert "Testholm Flying Service, prints" in said


def test_nobody_trusts_it_without_its_certificate() -> None:
    status = validated(signed(), [])
    assert (status.intact, status.valid, status.trusted) == (True, True, False)


@pytest.mark.parametrize("place", [0, 1, 2])
def test_a_flipped_byte_is_found_by_both(place: int, tmp_path: Path) -> None:
    changed = bytearray(signed())
    # Within the compressed text or a font, so that it still can be opened.
    streams = [m for m in range(len(printed())) if printed().startswith(b"stream\n", m)]
    changed[streams[place] + 40] ^= 1
    status = validated(bytes(changed), [own()[1]])
    assert (status.intact, status.trusted) == (False, False)
    assert "Signature is Valid." not in said_by_poppler(bytes(changed), tmp_path)


def test_the_signature_is_appended_and_the_print_stays_as_it_was(tmp_path: Path) -> None:
    assert signed().startswith(printed())
    file = tmp_path / "print.pdf"
    file.write_bytes(printed())
    seal_file(file, seal())
    assert file.read_bytes().startswith(printed())
    assert validated(file.read_bytes(), [own()[1]]).valid


def test_signing_breaks_nothing_of_pdf_a() -> None:
    with Pdf.open(io.BytesIO(signed())) as pdf:
        # The form that holds a signature is the one thing that this checker says it cannot check.
        assert [finding.kind for finding in pdfa.check(pdf, "2b").findings] == ["unsupported"]
        assert "/Version" not in pdf.Root
    with Pdf.open(io.BytesIO(printed())) as pdf:
        assert pdfa.check(pdf, "2b").verdict == "pass"


def test_without_a_seal_it_stays_unsigned() -> None:
    assert sealed(printed(), None) == printed()


def test_the_print_says_that_its_certificate_is_self_issued() -> None:
    digest = seal().certificate.fingerprint(hashes.SHA256()).hex()
    assert seal().is_self_issued
    assert f"Electronically signed file; self-issued certificate {digest[:16]}." in text_of(signed())


def test_a_certificate_from_elsewhere_names_its_issuer() -> None:
    authority = ec.generate_private_key(ec.SECP256R1())
    issuer = named("Testholm Authority")
    root = issued(issuer, issuer, authority, authority)
    key = ec.generate_private_key(ec.SECP256R1())
    leaf = issued(named("Flying Service"), issuer, key, authority)
    pem_key = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    its = seal_read(pem_key, leaf + root, at=NOW)
    assert its.words.endswith(" of Testholm Authority.")
    assert not its.is_self_issued
    status = validated(sealed(printed(), its), [root])
    assert (status.valid, status.trusted) == (True, True)


def named(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def issued(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePrivateKey, by: ec.EllipticCurvePrivateKey
) -> bytes:
    """Return a certificate, PEM; a certificate of an authority where it is its own issuer."""
    builder = x509.CertificateBuilder().subject_name(subject).issuer_name(issuer).public_key(key.public_key())
    builder = builder.serial_number(x509.random_serial_number()).not_valid_before(NOW - DAY).not_valid_after(NOW + DAY)
    is_authority = subject == issuer
    builder = builder.add_extension(x509.BasicConstraints(ca=is_authority, path_length=None), critical=True)
    names = ["key_encipherment", "data_encipherment", "key_agreement", "encipher_only", "decipher_only"]
    usage = x509.KeyUsage(
        digital_signature=not is_authority,
        content_commitment=not is_authority,
        key_cert_sign=is_authority,
        crl_sign=is_authority,
        **dict.fromkeys(names, False),
    )
    return builder.add_extension(usage, critical=True).sign(by, hashes.SHA256()).public_bytes(Encoding.PEM)


@pytest.mark.parametrize(
    ("name", "words"),
    [
        (named("Common"), "Common"),
        (x509.Name([x509.NameAttribute(NameOID.ORGANIZATION_NAME, "Organization")]), "Organization"),
        (x509.Name([x509.NameAttribute(NameOID.COUNTRY_NAME, "NO")]), "C=NO"),
    ],
)
def test_a_name_in_a_certificate_is_told(name: x509.Name, words: str) -> None:
    assert name_of(name) == words


@pytest.mark.parametrize(
    ("key", "certificate", "at", "words"),
    [
        (b"no key", own()[1], NOW, "can't be read"),
        (own()[0], b"no certificate", NOW, "can't be read"),
        (self_issued("Other", NOW)[0], own()[1], NOW, "belongs to another key"),
        (*own(), NOW - DAY, "holds from"),
        (*own(), NOW + 366 * 10 * DAY, "holds from"),
    ],
)
def test_what_cannot_sign_is_refused(key: bytes, certificate: bytes, at: datetime.datetime, words: str) -> None:
    with pytest.raises(SealUnusable, match=words):
        seal_read(key, certificate, at=at)
