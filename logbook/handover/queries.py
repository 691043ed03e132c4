"""Reads of packages, each for a person; what is another operator's is not there."""

from uuid import UUID

from django.db.models import QuerySet

from logbook.models import PackageJob, Person, ReceivedEntry, ReceivedPackage


def package_list(user: Person) -> QuerySet[ReceivedPackage]:
    """Return the packages that were taken in, newest first."""
    found = ReceivedPackage.objects.filter(operator_id=user.operator_id or 0).order_by("-pk")
    return found.select_related("engine", "component", "entry", "received_by", "within")


def package_for(user: Person, pk: int) -> ReceivedPackage:
    """Return one package; ReceivedPackage.DoesNotExist where the person may not see it."""
    return package_list(user).get(pk=pk)


def received_for(user: Person, pk: int, number: int) -> ReceivedEntry:
    """Return one entry of a package; ReceivedEntry.DoesNotExist where the person may not see it."""
    found = ReceivedEntry.objects.filter(package__operator_id=user.operator_id or 0).select_related("package")
    return found.get(package=pk, number=number)


def job_for(user: Person, pk: UUID | str) -> PackageJob:
    """Return one's own package; PackageJob.DoesNotExist for anybody else's."""
    return PackageJob.objects.select_related("engine", "component", "entry").get(pk=pk, person=user)
