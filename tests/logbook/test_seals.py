"""The key that signs an operator's prints: made once by command, kept outside the database, refused where unusable."""

import io
import stat
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from engines.errors import DomainError
from engines.models import Operator
from logbook.models import Person
from logbook.printing.wording import UNSIGNED
from logbook.seals import seal_make, seal_of, seal_paths
from tests.logbook.printing.reading import text_of
from tests.logbook.printing.test_sealing import said_by_poppler
from tests.logbook.screen_kit import signed_in


@pytest.fixture(autouse=True)
def keys(settings: Any, tmp_path: Path) -> Path:
    """Return a folder of keys of the test's own."""
    settings.KEYS_DIR = tmp_path / "keys"
    return tmp_path / "keys"


def test_without_a_key_there_is_no_seal(operator: Operator) -> None:
    assert seal_of(operator) is None
    assert seal_of(None) is None


def test_the_command_makes_a_key_once(operator: Operator) -> None:
    said = io.StringIO()
    call_command("print_key_make", operator=operator.name, stdout=said)
    seal = seal_of(operator)
    assert seal is not None
    assert seal.words in said.getvalue()
    for path in seal_paths(operator):
        assert str(path) in said.getvalue()
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    before = [path.read_bytes() for path in seal_paths(operator)]
    with pytest.raises(CommandError, match="There is a key or a certificate already"):
        call_command("print_key_make", operator=operator.name)
    assert [path.read_bytes() for path in seal_paths(operator)] == before


def test_the_command_knows_its_operators(db: None) -> None:
    with pytest.raises(CommandError, match="no operator named “Nobody”"):
        call_command("print_key_make", operator="Nobody")


def test_a_key_that_cannot_sign_is_not_passed_over(operator: Operator) -> None:
    seal_make(operator)
    seal_paths(operator)[1].write_bytes(b"damaged")
    with pytest.raises(DomainError, match="Prints cannot be signed") as refused:
        seal_of(operator)
    assert refused.value.code == "key_unusable"


@pytest.mark.parametrize("name", ["authorization_print", "inspection_list_print"])
def test_every_print_says_whether_it_is_signed(name: str, auditor: Person, client: Client, tmp_path: Path) -> None:
    show = signed_in(client, auditor).get
    plain = show(reverse(name)).content
    assert UNSIGNED in text_of(plain)
    assert "does not contain any signatures" in said_by_poppler(plain, tmp_path)
    assert auditor.operator is not None
    seal = seal_make(auditor.operator)
    signed = show(reverse(name)).content
    assert seal.words in text_of(signed)
    assert "Signature is Valid." in said_by_poppler(signed, tmp_path)
