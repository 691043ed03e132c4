"""What a person has sent out to them: a calendar at a secret address, and a daily mail."""

from typing import Final

from django.db import models

PERSON: Final = "logbook.Person"


class CalendarAddress(models.Model):
    """An address at which a calendar program reads what comes due; only its digest is kept, and it can be revoked."""

    person = models.ForeignKey(PERSON, on_delete=models.CASCADE, related_name="calendar_addresses")
    digest = models.CharField(max_length=64, unique=True)
    made_at = models.DateTimeField(auto_now_add=True)
    last_read_at = models.DateTimeField(null=True, blank=True)
    revoked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at", "-pk"]

    def __str__(self) -> str:
        return f"Calendar of {self.person}"


class DigestChoice(models.Model):
    """When a person gets the mail of what is due and open, and what stands in it."""

    class When(models.TextChoices):
        """On which days it goes out."""

        NEVER = "never", "No mail"
        DAILY = "daily", "Every day"
        MONDAYS = "mondays", "Mondays"

    person = models.OneToOneField(PERSON, on_delete=models.CASCADE, related_name="digest_choice")
    when = models.CharField(max_length=10, choices=When, default=When.NEVER)
    of_due = models.BooleanField(default=True)
    of_inspections = models.BooleanField(default=True)
    of_concerns = models.BooleanField(default=False)
    sent_on = models.DateField(null=True, blank=True)

    class Meta:
        ordering = ["pk"]

    def __str__(self) -> str:
        return f"{self.person}: {self.get_when_display()}"
