"""What a person is here to do."""

from django.db.models import TextChoices


class Role(TextChoices):
    """What a person is here to do."""

    MECHANIC = "mechanic", "Mechanic"
    INSPECTOR = "inspector", "Inspector"
    DIRECTOR = "director", "Director of maintenance"
    AUDITOR = "auditor", "Auditor"
