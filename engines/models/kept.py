"""Rows that are only ever added."""

from typing import Any

from django.db import models


class Kept(models.Model):
    """A row that stays as it was written."""

    class Meta:
        abstract = True

    def save(self, *args: Any, **options: Any) -> None:
        """Keep a new row; TypeError for one that was kept before."""
        if not self._state.adding:
            raise TypeError(f"{self._meta.verbose_name} rows are only ever added; write another one.")
        super().save(*args, **options)

    def delete(self, *args: Any, **options: Any) -> tuple[int, dict[str, int]]:
        """Refuse: the row stays."""
        raise TypeError(f"{self._meta.verbose_name} rows are only ever added; this one stays.")
