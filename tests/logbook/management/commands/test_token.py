import io

import pytest
from django.core.management import CommandError, call_command

from logbook.models import ApiToken, Person
from logbook.tokens import token_issue, token_known


@pytest.mark.parametrize(
    ("asked", "scope"), [([], "read"), (["--scope", "record"], "record"), (["--scope", "all"], "all")]
)
def test_the_command_prints_a_token_that_works(asked: list[str], scope: str, mechanic: Person) -> None:
    out = io.StringIO()
    call_command("token", "mechanic", "--label", "test stand", *asked, stdout=out)
    known = token_known(out.getvalue().strip())
    assert (known.person, known.label, known.scope) == (mechanic, "test stand", scope)


def test_the_command_says_that_a_name_is_in_use(mechanic: Person) -> None:
    token_issue(person=mechanic, label="test stand")
    with pytest.raises(CommandError, match="You have a token called “test stand” already"):
        call_command("token", "mechanic", "--label", "test stand")
    assert ApiToken.objects.count() == 1


@pytest.mark.parametrize(
    ("username", "label", "sentence"),
    [
        ("nobody", "x", "There is no person with the username 'nobody'."),
        ("mechanic", "", "The label does not do: This field cannot be blank."),
    ],
)
def test_the_command_says_what_is_wrong(username: str, label: str, sentence: str, mechanic: Person) -> None:
    with pytest.raises(CommandError, match=sentence):
        call_command("token", username, "--label", label)
    assert not ApiToken.objects.exists()
