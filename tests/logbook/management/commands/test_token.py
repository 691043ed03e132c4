import io

import pytest
from django.core.management import CommandError, call_command

from logbook.models import ApiToken, Person
from logbook.tokens import token_person


def test_the_command_prints_a_token_that_works(mechanic: Person) -> None:
    out = io.StringIO()
    call_command("token", "mechanic", "--label", "test stand", stdout=out)
    assert token_person(out.getvalue().strip()) == mechanic
    assert ApiToken.objects.get().label == "test stand"


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
