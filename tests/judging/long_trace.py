"""A three-hour run of twelve channels at 4 Hz, invented, with what a phone does to judge it."""

from typing import Any

from engines.documents import engine_type_read
from engines.unit_tables import unit_tables

HOURS, RATE = 3, 4
ROWS = HOURS * 3600 * RATE
CHANNELS = 12
ACTION = {"summary": "Look", "before_next_flight": False}
# Invented for the tests; no limits are set. Channel k swings about 50 with a period of some minutes.
CHARTS = [
    {
        "name": f"c{k}, {'running' if k % 2 else 'whole'}",
        "channel": f"c{k}",
        "limit": 60 if k < 4 else 90,
        **({"regimes": ["running", "stopping"]} if k % 2 else {}),
        "method": "time_above" if k % 4 < 2 else "peak",
        "boundary": "linear",
        "areas": [
            {"name": "A", "allowed": [{"above": 61, "seconds": 300}, {"above": 80, "seconds": 0}], "action": ACTION}
            if k < 4
            else {"name": "A", "allowed": [{"above": 92, "seconds": 5}], "action": ACTION}
        ],
    }
    for k in range(CHANNELS)
]
DOCUMENT: dict[str, Any] = {
    "name": "Invented",
    "channels": [{"name": f"c{k}", "unit": "degC", "tolerance": 0.5 if k == 3 else 0} for k in range(CHANNELS)],
    "segmentation": {
        "speed": "c11", "temperature": "c0", "turning": 5, "idle": 30, "stopping_below": 20, "light_off_rise": 3,
    },
    "charts": CHARTS,
}  # fmt: skip
# Noise from a fixed sequence; every thousandth sample of a channel is missing, and once eight seconds of them.
MAKE = """({ rows, rate, channels, wave }) => {
  let seed = 1;
  const noise = () => (seed = (seed * 48271) % 2147483647) / 2147483647 - 0.5;
  const times = Float64Array.from({ length: rows }, (_, k) => k / rate);
  const column = (c) => Float64Array.from(times, (t, k) => {
    if ((k + 97 * c) % 1000 === 0 || (t > 4000 + 10 * c && t < 4008 + 10 * c)) return NaN;
    const ramp = c === channels - 1 ? Math.min(t / 40, 1, (times[rows - 1] - t) / 40) : 1;
    return ramp * (50 + 12 * Math.sin(t / (60 + 7 * c)) + wave * noise());
  });
  const named = Array.from({ length: channels }, (_, c) => [`c${c}`, column(c)]);
  return { times, channels: Object.fromEntries(named) };
}"""
JUDGE = """async ({ document, units, ...size }) => {
  const { judgeTrace } = await import("/judge/index.js");
  return judgeTrace(document, MADE(size), units);
}""".replace("MADE", f"({MAKE})")
# The trace as well, so that the server can judge the very same.
SHOW = """async ({ document, units, ...size }) => {
  const { judgeTrace } = await import("/judge/index.js");
  const trace = MADE(size);
  const plain = (values) => Array.from(values, (value) => (Number.isNaN(value) ? null : value));
  const columns = Object.fromEntries(Object.entries(trace.channels).map(([name, values]) => [name, plain(values)]));
  return { verdict: judgeTrace(document, trace, units), document, times: plain(trace.times), columns };
}""".replace("MADE", f"({MAKE})")
KEEP = """async ({ document, units, ...size }) => {
  const { judgeTrace } = await import("/judge/index.js");
  const trace = MADE(size);
  window.judgeKept = () => judgeTrace(document, trace, units);
  return true;
}""".replace("MADE", f"({MAKE})")
WARM = """async ({ document, units }) => {
  const { judgingWarmed } = await import("/judge/warm.js");
  judgingWarmed(document, units);
  return true;
}"""
JUDGE_KEPT = "() => window.judgeKept().samples"
APART = """async ({ document, units, ...size }) => {
  const { JudgingApart } = await import("/judge/apart.js");
  const trace = MADE(size);
  const apart = new JudgingApart();
  await apart.warm(document, units);
  const verdict = await apart.judgeTrace(document, trace, units);
  const left = trace.times.length;
  const backwards = { times: Float64Array.from([0, 2, 1]), channels: {} };
  const refused = await apart.judgeTrace(document, backwards, units).catch(({ code, message }) => ({ code, message }));
  const waiting = apart.judgeTrace(document, { times: new Float64Array(1), channels: {} }, units);
  apart.close();
  const ended = await waiting.catch(({ message }) => message);
  return { verdict, left, refused, ended };
}""".replace("MADE", f"({MAKE})")


def long_run(wave: float = 0.02, **more: Any) -> dict[str, Any]:
    """Return what a page is asked to judge; the higher the noise, the more excursions."""
    units = unit_tables(engine_type_read(DOCUMENT))
    return {"document": DOCUMENT, "units": units, "rows": ROWS, "rate": RATE, "channels": CHANNELS, "wave": wave} | more
