// Keeps one build of the app on the device, whole, so that it opens from a killed state with no server in reach.
//
// The packer puts the build's id and its one precache list in place of the two names below. A build is cached as a
// whole or not at all; an update waits until the person agrees; /api is never touched.

const BUILD = "__BUILD__";
const PRECACHE = __PRECACHE__;
const SHELL = "/field";
const DESK = "/office";
const PREFIX = "setdown-";
const OWN = PREFIX + BUILD;
// Answered from the cached shell: these addresses and everything below them (but only `/` itself).
const AREAS = ["/field", "/home", "/office", "/sign-in"];

self.addEventListener("install", (event) => event.waitUntil(precache()));
self.addEventListener("activate", (event) => event.waitUntil(takeOver()));

self.addEventListener("message", (event) => {
  if (event.data && event.data.type === "use-new-build") self.skipWaiting();
});

self.addEventListener("fetch", (event) => {
  const request = event.request;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  if (request.mode === "navigate") {
    if (address.pathname === DESK || address.pathname.startsWith(DESK + "/")) event.respondWith(deskShell(request));
    else if (opensApp(address.pathname)) event.respondWith(shell(request));
    return;
  }
  if (address.pathname.startsWith("/assets/")) event.respondWith(asset(request));
  else if (PRECACHE.includes(address.pathname)) event.respondWith(ownFirst(request));
});

function opensApp(path) {
  return path === "/" || AREAS.some((area) => path === area || path.startsWith(area + "/"));
}

/** Fetches every file of the build past the browser's cache; one failure fails the install and leaves nothing. */
async function precache() {
  try {
    const cache = await caches.open(OWN);
    await Promise.all(
      PRECACHE.map(async (path) => {
        const answer = await fetch(path, { cache: "reload", credentials: "omit" });
        if (!answer.ok || answer.redirected) throw new Error(path + " answered " + answer.status);
        // A server that was replaced in between would hand out another build's shell.
        if (path === SHELL && answer.headers.get("x-setdown-build") !== BUILD) {
          throw new Error("the shell is of another build");
        }
        await cache.put(path, answer);
      }),
    );
  } catch (error) {
    // An earlier install of the very same build may be the active one: keep what it serves.
    if (!(self.registration.active && (await servesThisBuild()))) await caches.delete(OWN);
    throw error;
  }
}

async function servesThisBuild() {
  const cache = await caches.open(OWN);
  return (await cache.keys()).length === PRECACHE.length;
}

/** Drops the caches of older builds, except the newest of them: another tab may still run it. */
async function takeOver() {
  const others = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== OWN);
  // Cache names come back in the order in which they were made.
  await Promise.all(others.slice(0, -1).map((name) => caches.delete(name)));
  await self.clients.claim();
}

async function shell(request) {
  const cache = await caches.open(OWN);
  return (await cache.match(SHELL)) || fetch(request);
}

/** The desk's files are not kept here, so its shell must be the server's own; with no server, ours says so in words. */
async function deskShell(request) {
  return fetch(request).catch(() => shell(request));
}

async function ownFirst(request) {
  const cache = await caches.open(OWN);
  return (await cache.match(request, { ignoreSearch: true })) || fetch(request);
}

/** Hashed files: this build's cache, then a previous build's (for a tab that still runs it), then the server. */
async function asset(request) {
  const own = await (await caches.open(OWN)).match(request);
  if (own) return own;
  for (const name of await caches.keys()) {
    if (!name.startsWith(PREFIX)) continue;
    const found = await (await caches.open(name)).match(request);
    if (found) return found;
  }
  return fetch(request);
}
