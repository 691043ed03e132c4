"""Recorders' files read by a page and by the server, as plain data that can be compared."""

import base64
import io
import math
from typing import Any

from engines.charts import EngineTypeData
from engines.errors import TraceError
from engines.recording_times import moment_of
from engines.recordings import columns_propose, recording_read
from engines.unit_tables import unit_tables

LEFT_TO_SERVER = "left_to_server"
READ = """async (files) => {
  const { recordingRead } = await import("/judge/recording/index.js");
  const plain = (values) => Array.from(values, (value) => (Number.isNaN(value) ? null : value));
  const told = ({ trace, ...rest }) => ({
    ...rest,
    times: plain(trace.times),
    channels: Object.fromEntries(Object.entries(trace.channels).map(([name, values]) => [name, plain(values)])),
    ignored: trace.ignored,
  });
  const read = async ({ bytes, document, units, given }) => {
    const file = Uint8Array.from(atob(bytes), (letter) => letter.charCodeAt(0)).buffer;
    try {
      return told(await recordingRead(file, document, units, given));
    } catch (error) {
      if (error.name !== "JudgingError") throw error;
      return { code: error.code, message: error.message };
    }
  };
  return Promise.all(files.map(read));
}"""

LOOK = """async (files) => {
  const { JudgingApart } = await import("/judge/apart.js");
  const apart = new JudgingApart("/judge/worker.js");
  const look = ({ bytes, document, units, given }) => {
    const file = new Blob([Uint8Array.from(atob(bytes), (letter) => letter.charCodeAt(0))]);
    return apart.columnsOf(document, file, units, given);
  };
  const found = await Promise.all(files.map(look));
  apart.close();
  return found;
}"""
JUDGE_FILES = """async (files) => {
  const { JudgingApart } = await import("/judge/apart.js");
  const apart = new JudgingApart();
  const judged = await Promise.all(files.map(({ text, document, units, given }) =>
    apart.judgeFile(document, new Blob([text]), units, given)));
  const [{ document, units }] = files;
  const refused = await apart.judgeFile(document, new Blob(["PAR1"]), units).catch(({ code }) => code);
  apart.close();
  return { judged, refused };
}"""


def file_plain(data: bytes, engine_type: EngineTypeData, **given: Any) -> dict[str, Any]:
    """Return a file as a page takes it, with what is said of it."""
    channels = [
        {"name": channel.name, "label": channel.label, "unit": channel.unit} for channel in engine_type.channels
    ]
    return {
        "bytes": base64.b64encode(data).decode(),
        "document": {"name": engine_type.name, "channels": channels, "charts": []},
        "units": unit_tables(engine_type),
        "given": given,
    }


def server_reads(data: bytes, engine_type: EngineTypeData, **given: Any) -> dict[str, Any]:
    """Return what the server reads from a file, or how it refuses it."""
    try:
        found = recording_read(io.BytesIO(data), engine_type, **given)
    except TraceError as error:
        return {"code": error.code, "message": error.message}
    return {
        "times": found.trace.times.tolist(),
        "channels": {
            name: [None if math.isnan(x) else x for x in values.tolist()]
            for name, values in found.trace.channels.items()
        },
        "ignored": [vars(ignored) for ignored in found.ignored],
        "matches": [vars(match) for match in found.matches],
        "unused": list(found.unused),
        "startedAt": found.started_at,
    }


def server_proposes(data: bytes, engine_type: EngineTypeData, **given: Any) -> dict[str, Any]:
    """Return the columns that the server would read from a file."""
    found = columns_propose(io.BytesIO(data), engine_type, columns=given.get("columns", {}))
    return {"headers": list(found.headers), "columns": dict(found.columns), "units": dict(found.units)}


def phone_reads(told: dict[str, Any]) -> dict[str, Any]:
    """Return what a page says of a file, its first stamp as a moment."""
    return told | {"startedAt": moment_of(told["startedAt"])} if told.get("startedAt") else told
