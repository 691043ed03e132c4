"""Rows that are only ever added."""

from typing import Any, NoReturn, TypeVar

from django.db import models

Row = TypeVar("Row", bound=models.Model)


class KeptQuerySet(models.QuerySet[Row]):
    """Rows that no query changes or removes."""

    def _refuse(self) -> NoReturn:
        raise TypeError(f"{self.model._meta.verbose_name} rows are only ever added; these stay as they are.")

    def update(self, **values: Any) -> int:
        """Refuse: the rows stay as they were written."""
        self._refuse()

    def delete(self) -> tuple[int, dict[str, int]]:
        """Refuse: the rows stay."""
        self._refuse()


class Kept(models.Model):
    """A row that stays as it was written."""

    objects = KeptQuerySet.as_manager()

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
