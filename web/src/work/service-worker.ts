// Keeps one whole version of the page for visits without a network. A version is taken and given up as a
// whole, so that an old page never meets a new core.

declare const self: ServiceWorkerGlobalScope;

interface Offline {
  readonly version: string;
  readonly files: readonly string[];
}

const VERSION = new URL(self.location.href).searchParams.get("version") ?? "";
const PREFIX = "posekit-";
const LIST = "offline.json";

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
  if (new URL(request.url).pathname.endsWith(`/${LIST}`)) {
    // The one file that tells of a newer version has to come from the host while there is one.
    return fetch(request).catch(async (problem: unknown) => (await cache.match(LIST)) ?? Promise.reject(problem));
  }
  return (await cache.match(request, { ignoreSearch: true })) ?? fetch(request);
}

self.addEventListener("install", (event) => event.waitUntil(keep()));
self.addEventListener("activate", (event) => event.waitUntil(dropOthers()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method === "GET" && new URL(request.url).origin === self.location.origin) event.respondWith(answer(request));
});

export {};
