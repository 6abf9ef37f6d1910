/** A value that can be watched. */

export interface Cell<T> {
  get(): T;
  set(value: T): void;
  /** Called now and at every change; the answer stops it. */
  watch(listener: (value: T) => void): () => void;
}

export function cell<T>(initial: T): Cell<T> {
  let current = initial;
  const listeners = new Set<(value: T) => void>();
  return {
    get: () => current,
    set(value) {
      if (Object.is(value, current)) return;
      current = value;
      for (const listener of [...listeners]) listener(value);
    },
    watch(listener) {
      listeners.add(listener);
      listener(current);
      return () => listeners.delete(listener);
    },
  };
}
