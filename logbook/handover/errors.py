"""Why a package is refused."""

from engines.errors import DomainError


class PackageError(DomainError):
    """A package in which something does not match, or which says what cannot be."""

    code = "package_refused"
