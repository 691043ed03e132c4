import io

import pytest
from allauth.mfa.models import Authenticator
from allauth.mfa.recovery_codes.internal.auth import RecoveryCodes
from django.core.management import CommandError, call_command

from logbook.models import Person


def test_the_command_lets_one_person_in_by_password_alone(mechanic: Person, inspector: Person) -> None:
    for person in (mechanic, inspector):
        Authenticator.objects.create(user=person, type=Authenticator.Type.TOTP, data={"secret": "x"})
        RecoveryCodes.activate(person)
    out = io.StringIO()
    call_command("second_factor_remove", "mechanic", stdout=out)
    assert out.getvalue() == f"{mechanic} signs in by password alone; removed: 2.\n"
    assert set(Authenticator.objects.values_list("user", flat=True)) == {inspector.pk}


@pytest.mark.django_db
def test_the_command_knows_whom_it_does_not_know() -> None:
    with pytest.raises(CommandError, match="There is no person with the username 'nobody'"):
        call_command("second_factor_remove", "nobody")
