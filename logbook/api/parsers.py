"""Reading the bodies of requests, none longer than the settings allow."""

from collections.abc import Iterator
from typing import IO, Any

from django.conf import settings
from django.core.exceptions import RequestDataTooBig
from rest_framework.exceptions import ParseError
from rest_framework.parsers import DataAndFiles, FileUploadParser, JSONParser, MultiPartParser


def _refuse_large(context: Any) -> None:
    length, most = int(context["request"].META.get("CONTENT_LENGTH") or 0), settings.TRACE_UPLOAD_MAX_BYTES
    if length > most:
        raise RequestDataTooBig(f"The file has {length} bytes; at most {most} are taken.")


def texts(value: Any) -> Iterator[str]:
    """Yield every text in plain data, keys included."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            yield key
            yield from texts(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts(inner)


class BodyParser(JSONParser):
    """JSON whose texts every database can keep."""

    def parse(self, stream: IO[Any], media_type: Any = None, parser_context: Any = None) -> Any:
        try:
            data = super().parse(stream, media_type, parser_context)
            for text in texts(data):
                text.encode()
                if "\0" in text:
                    raise ParseError("A text holds the character U+0000, which cannot be kept.")
        except RecursionError as error:
            raise ParseError("The body is nested too deeply.") from error
        except UnicodeEncodeError as error:
            raise ParseError("A text holds half of a surrogate pair, which is no character.") from error
        return data


class TraceFormParser(MultiPartParser):
    """A form with a trace's file in it."""

    def parse(self, stream: IO[Any], media_type: Any = None, parser_context: Any = None) -> DataAndFiles:
        _refuse_large(parser_context)
        return super().parse(stream, media_type, parser_context)


class TraceBodyParser(FileUploadParser):
    """A trace as the whole body; its name may be given in ``Content-Disposition``."""

    media_type = "application/octet-stream"
    name = "trace"

    def parse(self, stream: IO[Any], media_type: Any = None, parser_context: Any = None) -> DataAndFiles:
        _refuse_large(parser_context)
        return super().parse(stream, media_type, parser_context)

    def get_filename(self, stream: IO[Any], media_type: Any, parser_context: Any) -> str:
        return super().get_filename(stream, media_type, parser_context) or self.name


class TraceCsvParser(TraceBodyParser):
    """A trace as a CSV body."""

    media_type = "text/csv"
    name = "trace.csv"


class TraceParquetParser(TraceBodyParser):
    """A trace as a Parquet body."""

    media_type = "application/vnd.apache.parquet"
    name = "trace.parquet"


TRACE_PARSERS = (TraceFormParser, TraceCsvParser, TraceParquetParser, TraceBodyParser)
