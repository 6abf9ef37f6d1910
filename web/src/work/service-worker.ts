// Keeps one whole version of the page for visits without a network. A version is taken and given up as a
// whole, so that an old page never meets a new core. What the site serves of props is asked for anew each time.

declare const self: ServiceWorkerGlobalScope;

interface Offline {
  readonly version: string;
  readonly files: readonly string[];
}

const VERSION = new URL(self.location.href).searchParams.get("version") ?? "";
const PREFIX = "posekit-";
const LIST = "offline.json";
const LATER = "assets/occt-import-js-";
const PROPS = "props/";
const FOLDER = "folder/"; // doors to the builder's disk, of which nothing is kept

async function keep(): Promise<void> {
  const list = (await (await fetch(LIST, { cache: "no-cache" })).json()) as Offline;
  if (list.version !== VERSION) throw new Error("a newer version was put up meanwhile; the next visit takes that");
  const cache = await caches.open(PREFIX + VERSION);
  // Names carry a hash of the content, so what the browser has under a name is the right thing.
  await cache.addAll([...list.files.map((file) => new Request(file, { cache: "default" })), LIST]);
}

async function dropOthers(): Promise<void> {
  const old = (await caches.keys()).filter((name) => name.startsWith(PREFIX) && name !== PREFIX + VERSION);
  await Promise.all(old.map((name) => caches.delete(name)));
}

async function answer(request: Request): Promise<Response> {
  const cache = await caches.open(PREFIX + VERSION);
  const path = new URL(request.url).pathname.slice(new URL(self.registration.scope).pathname.length);
  // What tells of a newer version, and the props, which a builder changes on disk: the host's word wins.
  if (path === LIST || path.startsWith(PROPS)) return fromHost(request, cache, path);
  return (await cache.match(request, { ignoreSearch: true })) ?? fetched(request, cache, path);
}

/** What is not kept for every visit, but from when it was used: the reader of STEP files. */
async function fetched(request: Request, cache: Cache, path: string): Promise<Response> {
  const found = await fetch(request);
  if (found.ok && path.startsWith(LATER)) await cache.put(request, found.clone()).catch(() => undefined); // a full disk takes no answer away
  return found;
}

/** What the host has; what was kept only where the host cannot be reached or has nothing. */
async function fromHost(request: Request, cache: Cache, path: string): Promise<Response> {
  const found = await fetch(request).catch((problem: unknown) => problem);
  if (found instanceof Response && found.ok) {
    // A prop that is served beside those of the page is there on a visit without a network, too.
    if (path !== LIST) await cache.put(request, found.clone()).catch(() => undefined); // a full disk takes no answer away
    return found;
  }
  const kept = await cache.match(request, { ignoreSearch: true });
  if (kept) return kept;
  if (found instanceof Response) return found;
  throw found;
}

self.addEventListener("install", (event) => event.waitUntil(keep()));
self.addEventListener("activate", (event) => event.waitUntil(dropOthers()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  const ofFolder = pathname.startsWith(`${new URL(self.registration.scope).pathname}${FOLDER}`);
  if (request.method === "GET" && origin === self.location.origin && !ofFolder) event.respondWith(answer(request));
});

export {};
