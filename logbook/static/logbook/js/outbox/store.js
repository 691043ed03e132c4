// The device's own database: what is unsent, the receipts, the kept pages. No version of it ever drops the outbox.

const NAME = "embermark";
const VERSION = 1;
const STORES = { outbox: "id", receipts: "id", pages: "key", facts: "name" };
const DIED = new Set(["InvalidStateError", "UnknownError", "AbortError"]);

let opening = null;

/** The store: each change is on the disk when its promise is fulfilled. */
export const store = {
  /** @param {string} name of a store @param {string} key @returns {Promise<any>} the row, or undefined */
  get: (name, key) => again(async () => answer((await started([name], "readonly")).objectStore(name).get(key))),

  /** @param {string} name of a store @returns {Promise<any[]>} every row */
  all: (name) => again(async () => answer((await started([name], "readonly")).objectStore(name).getAll())),

  /**
   * Change rows of several stores in one transaction, or none of them.
   * @param {string[]} names
   * @param {(stores: Record<string, IDBObjectStore>) => void} work
   * @returns {Promise<void>} fulfilled when the disk has it
   */
  change: (names, work) => again(() => changed(names, work)),

  /** @returns {Promise<boolean>} whether this browser keeps what it is given: written, read and removed */
  async works() {
    try {
      // Under a name of its own: another window may be trying at this very moment.
      const name = `trial ${crypto.randomUUID()}`;
      await changed(["facts"], ({ facts }) => facts.put({ name, at: 1 }));
      const found = await store.get("facts", name);
      await changed(["facts"], ({ facts }) => facts.delete(name));
      return found?.at === 1;
    } catch {
      return false;
    }
  },
};

function database() {
  opening ??= opened(VERSION).catch((fault) => {
    // A later program was loaded beside this one: it has only added to the store, so this one goes on as it stands.
    if (fault?.name !== "VersionError") throw fault;
    return opened();
  });
  opening.catch(() => (opening = null));
  return opening;
}

function opened(version) {
  return new Promise((done, fail) => {
    const asked = indexedDB.open(NAME, version);
    asked.onupgradeneeded = () => made(asked.result);
    asked.onerror = () => fail(asked.error);
    asked.onsuccess = () => {
      asked.result.onclose = () => (opening = null);
      asked.result.onversionchange = () => (asked.result.close(), (opening = null));
      done(asked.result);
    };
  });
}

// Only ever adds.
function made(base) {
  for (const [name, keyPath] of Object.entries(STORES)) {
    if (!base.objectStoreNames.contains(name)) base.createObjectStore(name, { keyPath });
  }
}

async function started(names, mode) {
  return (await database()).transaction(names, mode, { durability: "strict" });
}

async function changed(names, work) {
  const open = await started(names, "readwrite");
  return new Promise((done, fail) => {
    open.oncomplete = () => done();
    open.onabort = () => fail(open.error ?? new DOMException("not kept", "AbortError"));
    try {
      work(Object.fromEntries(names.map((name) => [name, open.objectStore(name)])));
    } catch (fault) {
      open.abort();
      fail(fault);
    }
  });
}

function answer(asked) {
  return new Promise((done, fail) => {
    asked.onsuccess = () => done(asked.result);
    asked.onerror = () => fail(asked.error);
  });
}

// The connection may die while the phone sleeps: it is opened once more, and a second failure is said.
async function again(work) {
  try {
    return await work();
  } catch (fault) {
    if (!DIED.has(fault?.name)) throw fault;
    opening = null;
    return work();
  }
}
