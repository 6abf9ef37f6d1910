/** Autosave in the browser, by IndexedDB: the bench with its history, and the picture to show before Python is ready. */

import type { Floats } from "../engine/protocol";
import type { Bench } from "./history";

const DATABASE = "posekit";
const STORE = "kept";
const PAUSE_MS = 150;

export interface Kept {
  bench: Bench;
  /** The prop as GLB, and where its links stood. */
  picture: Uint8Array<ArrayBuffer>;
  stand: { readonly links: readonly string[]; readonly transforms: Floats };
}

function request<T>(asked: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error("the browser's storage did not answer"));
  });
}

function open(): Promise<IDBDatabase> {
  const asked = indexedDB.open(DATABASE, 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
  return request(asked);
}

/** What was kept when the page was left; null if there is none. */
export async function kept<Key extends keyof Kept>(key: Key): Promise<Kept[Key] | null> {
  try {
    const store = (await open()).transaction(STORE).objectStore(STORE);
    return (await request<Kept[Key] | undefined>(store.get(key))) ?? null;
  } catch {
    return null; // storage may be switched off; the page works without
  }
}

export type Saved = "saved" | "saving" | "failed";

/** Save soon what is handed over: changes in quick succession are one write. */
export function autosave(told: (state: Saved) => void): <Key extends keyof Kept>(key: Key, value: Kept[Key]) => void {
  const waiting = new Map<keyof Kept, unknown>();
  const database = open();
  database.catch(() => told("failed"));
  let timer = 0;

  async function write(): Promise<void> {
    clearTimeout(timer);
    timer = 0;
    if (waiting.size === 0) return;
    const batch = [...waiting];
    waiting.clear();
    try {
      const transaction = (await database).transaction(STORE, "readwrite");
      const puts = batch.map(([key, value]) => request(transaction.objectStore(STORE).put(value, key)));
      transaction.commit();
      await Promise.all(puts);
      told(waiting.size > 0 ? "saving" : "saved");
    } catch {
      told("failed");
    }
  }

  // A tab that is closed or put aside gives no second chance.
  document.addEventListener("visibilitychange", () => void (document.hidden && write()));
  addEventListener("pagehide", () => void write());

  return (key, value) => {
    waiting.set(key, value);
    told("saving");
    timer ||= window.setTimeout(() => void write(), PAUSE_MS);
  };
}
