// Makes the next visit work without a network, once this one has all it needs.

/** Ask the browser to keep this version of the page. `told` hears when it is kept. */
export async function keepForOffline(told: () => void): Promise<void> {
  if (!("serviceWorker" in navigator)) return;
  const answer = await fetch(new URL("offline.json", document.baseURI), { cache: "no-cache" });
  if (!answer.ok) return;
  const { version } = (await answer.json()) as { version: string };
  const registration = await navigator.serviceWorker.register(`service-worker.js?version=${version}`);
  const worker = registration.installing ?? registration.waiting ?? registration.active;
  if (!worker || worker.state === "activated") {
    told();
    return;
  }
  worker.addEventListener("statechange", () => {
    if (worker.state === "activated" || worker.state === "installed") told();
  });
}
