"""Entering the first operator and its director."""

import io

import pytest
from django.core.management import CommandError, call_command

from engines.models import Operator
from logbook.models import Person

WORDS = ["Farfield Air", "dora", "--first-name", "Dora", "--last-name", "Test", "--place", "Farfield"]


def typed(monkeypatch: pytest.MonkeyPatch, password: str) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(f"{password}\n"))


@pytest.mark.django_db
def test_an_operator_begins_with_its_director(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    typed(monkeypatch, "a long enough word")
    call_command("operator_add", *WORDS, "--certificate-kind", "Mechanic", "--certificate-number", "T-9")
    person = Person.objects.get()
    assert (person.role, str(person.operator), str(person.certificates.get())) == (
        "director",
        "Farfield Air",
        "Mechanic T-9",
    )
    assert person.check_password("a long enough word")
    assert "Dora Test can sign in as dora" in capsys.readouterr().out
    with pytest.raises(CommandError, match="already an operator"):
        call_command("operator_add", *WORDS)
    with pytest.raises(CommandError, match="username dora is taken"):
        call_command("operator_add", "Another", *WORDS[1:])


@pytest.mark.django_db
def test_a_password_that_anyone_would_guess_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    typed(monkeypatch, "password")
    with pytest.raises(CommandError, match="too common"):
        call_command("operator_add", *WORDS)
    assert not Operator.objects.exists()


@pytest.mark.django_db
def test_a_person_at_the_terminal_is_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    monkeypatch.setattr("logbook.management.commands.operator_add.getpass", lambda prompt: "another long word")
    call_command("operator_add", *WORDS)
    assert Person.objects.get().check_password("another long word")
