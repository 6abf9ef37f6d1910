// Keeps one whole version of the page for visits without a network. A version is taken and given up as a
// whole, so that an old page never meets a new core. Which props the site serves is asked for anew each time.

declare const self: ServiceWorkerGlobalScope;

interface Offline {
  readonly version: string;
  readonly files: readonly string[];
}

const VERSION = new URL(self.location.href).searchParams.get("version") ?? "";
const PREFIX = `posekit-${new URL(self.registration.scope).pathname}-`; // several sites may share an origin
const LIST = "offline.json";
const LATER = "assets/occt-import-js-";
const PROPS = "props/";
const INDEX = `${PROPS}index.json`;
/** What the browser keeps by itself, too, and compiled: for good, as each name carries a hash of the content. */
const OF_POSEKIT = ["assets/", "runtime/"];
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

/** Where a browser knows how: ask its own cache for what it has compiled, and this worker, which may have to start, beside. */
async function race(event: ExtendableEvent & { addRoutes?: (rules: unknown) => Promise<void> }): Promise<void> {
  const scope = new URL(self.registration.scope).pathname.replace(/[^\w/-]/g, "\\$&");
  const rules = OF_POSEKIT.map((folder) => ({
    condition: { urlPattern: { pathname: `${scope}${folder}*`, search: "*" } },
    source: "race-network-and-fetch-handler",
  }));
  await event.addRoutes?.(rules).catch(() => undefined); // only slower without
}

async function answer(event: FetchEvent): Promise<Response> {
  const { request } = event;
  const cache = await caches.open(PREFIX + VERSION);
  const path = new URL(request.url).pathname.slice(new URL(self.registration.scope).pathname.length);
  // What tells of a newer version or of a prop that the builder has changed: the host's word wins.
  if (path === LIST || path === INDEX) return fromHost(request, cache, path);
  const ofBrowser = OF_POSEKIT.some((folder) => path.startsWith(folder)) ? await compiled(request) : null;
  return ofBrowser ?? (await cache.match(request, { ignoreSearch: true })) ?? fetched(event, cache, path);
}

/** What the browser has by itself, with what it compiled of it, which it has not of what is kept here. */
async function compiled({ url }: Request): Promise<Response | null> {
  const found = await fetch(url, { cache: "only-if-cached", mode: "same-origin" }).catch(() => null);
  // Some hosts answer with a page where a file is no more, and the browser may have kept that.
  return found?.ok && !found.headers.get("content-type")?.startsWith("text/html") ? found : null;
}

/** What is not kept for every visit, but from when it was used: the reader of STEP files, props beside those of the page. */
async function fetched(event: FetchEvent, cache: Cache, path: string): Promise<Response> {
  const found = await fetch(event.request);
  if (found.ok && (path.startsWith(LATER) || path.startsWith(PROPS))) event.waitUntil(put(cache, event.request, found.clone()));
  return found;
}

async function put(cache: Cache, request: Request, found: Response): Promise<void> {
  await cache.put(request, found).catch(() => undefined); // a full disk takes no answer away
}

/** What the host has; what was kept only where the host cannot be reached or has nothing. */
async function fromHost(request: Request, cache: Cache, path: string): Promise<Response> {
  const found = await fetch(request).catch((problem: unknown) => problem);
  if (found instanceof Response && found.ok) {
    if (path !== LIST) await put(cache, request, found.clone()); // small
    return found;
  }
  const kept = await cache.match(request, { ignoreSearch: true });
  if (kept) return kept;
  if (found instanceof Response) return found;
  throw found;
}

self.addEventListener("install", (event) => event.waitUntil(Promise.all([race(event), keep()])));
self.addEventListener("activate", (event) => event.waitUntil(dropOthers()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { origin, pathname } = new URL(request.url);
  const ofFolder = pathname.startsWith(`${new URL(self.registration.scope).pathname}${FOLDER}`);
  if (request.method === "GET" && origin === self.location.origin && !ofFolder) event.respondWith(answer(event));
});

export {};
