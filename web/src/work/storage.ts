/** What the browser keeps of a bench: keys and values in IndexedDB. Every call may reject; none throws. */

const DATABASE = "posekit";
const STORE = "kept";
const LONGEST_WAIT_MS = 5000; // for a browser that neither opens its storage nor says why

export interface Storage {
  /** Null if there is nothing under the key. */
  read<T>(key: string): Promise<T | null>;
  keys(prefix: string): Promise<readonly string[]>;
  /** All of it or nothing; null removes a key. Resolves when the browser has it. */
  write(entries: readonly (readonly [key: string, value: unknown])[]): Promise<void>;
}

export function createStorage(): Storage {
  let opened: Promise<IDBDatabase> | null = null;

  // Opened by the first that asks, because a browser may throw here, and again after it was closed.
  async function database(): Promise<IDBDatabase> {
    const asked = (opened ??= open());
    try {
      const found = await asked;
      found.onclose = found.onversionchange = () => {
        found.close();
        opened = null;
      };
      return found;
    } catch (problem) {
      opened = null;
      throw problem;
    }
  }

  return {
    async read<T>(key: string) {
      const store = (await database()).transaction(STORE).objectStore(STORE);
      return (await answer<T | undefined>(store.get(key))) ?? null;
    },

    async keys(prefix) {
      const store = (await database()).transaction(STORE).objectStore(STORE);
      return (await answer(store.getAllKeys(IDBKeyRange.bound(prefix, `${prefix}\uffff`)))).map(String);
    },

    async write(entries) {
      const transaction = (await database()).transaction(STORE, "readwrite");
      const store = transaction.objectStore(STORE);
      for (const [key, value] of entries) {
        if (value === null) store.delete(key);
        else store.put(value, key);
      }
      const kept = complete(transaction);
      transaction.commit(); // now, for a tab that is closed gives no second chance
      await kept;
    },
  };
}

async function open(): Promise<IDBDatabase> {
  const asked = indexedDB.open(DATABASE, 1);
  asked.onupgradeneeded = () => asked.result.createObjectStore(STORE);
  const never = new Promise<never>((_, reject) => setTimeout(() => reject(new Error("the browser's storage does not answer")), LONGEST_WAIT_MS));
  return Promise.race([answer(asked), never]);
}

function answer<T>(asked: IDBRequest<T>): Promise<T> {
  return new Promise((resolve, reject) => {
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error("the browser's storage did not answer"));
  });
}

function complete(transaction: IDBTransaction): Promise<void> {
  return new Promise((resolve, reject) => {
    transaction.oncomplete = () => resolve();
    transaction.onabort = () => reject(transaction.error ?? new Error("the browser's storage is full or switched off"));
  });
}
