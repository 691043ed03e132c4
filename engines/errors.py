"""The one family of errors that a person can put right."""


class DomainError(Exception):
    """A refusal with a sentence for people and a stable code for programs.

    ``fields`` maps a field's path to what is wrong with it, where that is known.
    """

    code = "refused"

    def __init__(self, message: str, *, code: str | None = None, fields: dict[str, str] | None = None) -> None:
        super().__init__(message)
        self.message = message
        self.code = code or self.code
        self.fields = fields or {}


class DocumentError(DomainError):
    """An engine type document that cannot be used; ``fields`` names every path that is wrong."""

    code = "document_invalid"


class TraceError(DomainError):
    """A recorded trace that cannot be used; the message names the row and column where there is one."""

    code = "trace_unusable"
