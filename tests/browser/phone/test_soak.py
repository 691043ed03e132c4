"""Many entries of two people through cuts, reloads, changes of user and a server that stops: each arrives once."""

import os
import random
from collections.abc import Callable

from playwright.sync_api import Error

from engines.models import Engine, Run
from logbook.models import Arrival, Person, Photo
from tests.browser.phone.kit import Phone
from tests.harness.waits import answer

ENTRIES = int(os.environ.get("SOAK_ENTRIES", "24"))
SEED = int(os.environ.get("SOAK_SEED", "1"))
PICTURED_EVERY = 4
KEEP = """async ([author, authorName, about, began, isPictured]) => {
  const { box } = await import("/static/logbook/js/outbox/box.js");
  const fields = [["kind", "ground_run"], ["started_at", began]];
  const base = { author, authorName, path: "/" };
  const run = { ...base, id: crypto.randomUUID(), kind: "run", about, title: "Run", fields };
  return (await box.keep([run, ...(isPictured ? [await photoOf(run)] : [])])).map(({ id }) => id);

  // Taken as a photo is, and of colours that no other one has.
  async function photoOf({ id }) {
    const [{ sha256 }, { shrunk }] = await Promise.all([
      import("/static/logbook/js/outbox/digest.js"), import("/static/logbook/js/outbox/shrink.js"),
    ]);
    const canvas = Object.assign(document.createElement("canvas"), { width: 320, height: 240 });
    const pen = canvas.getContext("2d");
    for (let n = 0; n < 40; n++) {
      pen.fillStyle = `rgb(${crypto.getRandomValues(new Uint8Array(3)).join()})`;
      pen.fillRect(40 * (n % 8), 48 * Math.floor(n / 8), 40, 48);
    }
    const blob = await new Promise((done) => canvas.toBlob(done, "image/png"));
    const { bytes, type, preview } = await shrunk(document, new File([blob], "photo.png"));
    const file = { name: "photo.jpg", type, sha256: await sha256(bytes), bytes };
    const about = `item/${id}`;
    const words = { title: "Photo of Run", fields: [["caption", began]], after: [id] };
    return { ...base, ...words, id: crypto.randomUUID(), kind: "photo", about, file, preview };
  }
}"""


class Soak:
    """One phone, its people, and what they have written."""

    def __init__(self, phone: Phone, engine: Engine, people: list[Person]) -> None:
        self.phone, self.engine, self.people = phone, engine, people
        self.random = random.Random(SEED)
        self.here = people[0]
        self.written: dict[str, int] = {}
        self.pictures: dict[str, tuple[str, int]] = {}

    def write(self) -> None:
        """Keep one entry of whoever is at the phone."""
        n = len(self.written)
        began = f"2026-0{1 + n // 672 % 5}-{1 + n // 24 % 28:02}T{n % 24:02}:30"
        said = [self.here.pk, str(self.here), str(self.engine.pk), began, n % PICTURED_EVERY == 0]
        run, *photos = answer(self.phone.page, KEEP, said)
        self.written[run] = self.here.pk
        self.pictures.update(dict.fromkeys(photos, (run, self.here.pk)))

    def mend(self) -> None:
        """Let everything through again."""
        self.phone.join()
        self.phone.gate.always, self.phone.gate.loses_replies = None, False
        self.phone.gate.close()
        self.phone.gate.open()

    def change(self) -> None:
        """Hand the phone to somebody else."""
        self.mend()
        self.here = self.random.choice(self.people)
        self.phone.sign_in(self.here)

    def events(self) -> list[Callable[[], object]]:
        """Return what may happen between two entries."""
        gate = self.phone.gate
        return [
            self.phone.cut,
            self.mend,
            self.change,
            gate.close,
            lambda: setattr(gate, "always", (500, "{}")),
            lambda: setattr(gate, "loses_replies", True),
            self.reload,
        ]

    def reload(self) -> None:
        """Load the page anew, which fails only where there is neither server nor program."""
        try:
            self.phone.page.reload()
        except Error:
            self.mend()
            self.phone.go("/not-sent-yet/")

    def run(self, count: int) -> None:
        """Write so many entries while everything happens, and then send what is left."""
        self.phone.stock(self.here)
        while len(self.written) < count:
            for _ in range(self.random.randint(1, 4)):
                self.write()
            self.random.choice(self.events())()
        self.mend()
        for person in self.people:
            self.phone.sign_in(person)
            self.phone.send()
            self.drained(person)

    def drained(self, person: Person) -> None:
        """Wait until nothing of a person is left, for as long as it grows less."""
        left = int(answer(self.phone.page, ROWS_OF, person.pk))
        while left:
            self.phone.until(f"async () => (await ({ROWS_OF})({person.pk})) < {left}")
            left = int(answer(self.phone.page, ROWS_OF, person.pk))


ROWS_OF = """async (author) => {
  const { box } = await import("/static/logbook/js/outbox/box.js");
  return (await box.all()).filter((item) => item.author === author).length;
}"""


def test_every_entry_arrives_once_in_its_authors_name(
    phone: Phone, engine: Engine, mechanic: Person, inspector: Person
) -> None:
    soak = Soak(phone, engine, [mechanic, inspector])
    soak.run(ENTRIES)
    assert {str(run.pk): run.recorded_by_id for run in Run.objects.all()} == soak.written
    arrived = {str(photo.pk): (str(photo.run_id), photo.added_by_id) for photo in Photo.objects.all()}
    assert arrived == soak.pictures
    assert len(arrived) >= ENTRIES // PICTURED_EVERY
    assert Arrival.objects.count() == len(soak.written) + len(soak.pictures) >= ENTRIES
    assert phone.rows() == []
