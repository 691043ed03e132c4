// Keeps the phone's program of one build, all of it or nothing, and stands in when the server cannot be reached.
// It keeps no page of anybody's, and knows nothing of the outbox: taking it away leaves what is unsent alone.

const NAME = `embermark-program-${self.PROGRAM.version}`;
const OURS = "embermark-program-";
const PATIENCE_MS = 8000;

self.addEventListener("install", (event) => event.waitUntil(kept()));
self.addEventListener("activate", (event) => event.waitUntil(othersGone()));
self.addEventListener("message", (event) => {
  if (event.data === "take over") self.skipWaiting();
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (address.origin !== self.location.origin) return;
  if (request.mode === "navigate") event.respondWith(opened(request));
  else if (request.method === "GET" && self.PROGRAM.files.includes(address.pathname)) event.respondWith(file(address.pathname));
});

// Fetched past every other cache; one file that is missing, and there is no new build.
async function kept() {
  const cache = await caches.open(NAME);
  const asked = self.PROGRAM.files.map((path) => new Request(path, { cache: "reload", credentials: "omit" }));
  await cache.addAll(asked);
}

async function othersGone() {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith(OURS) && name !== NAME).map((name) => caches.delete(name)));
}

async function file(path) {
  const cache = await caches.open(NAME);
  return (await cache.match(path)) ?? fetch(path);
}

async function opened(request) {
  try {
    return await inTime(request);
  } catch {
    const cache = await caches.open(NAME);
    return (await cache.match(self.PROGRAM.files[0])) ?? Response.error();
  }
}

// Whatever is sent is given all the time that it needs; whatever is only looked at is not waited for without end.
function inTime(request) {
  if (request.method !== "GET") return fetch(request);
  const late = new Promise((_, fail) => setTimeout(() => fail(new Error("late")), PATIENCE_MS));
  return Promise.race([fetch(request), late]);
}
