/** A tree to choose from, by the keyboard rules of the ARIA tree pattern: arrows, Home, End, letters. */

import { type Signal, useSignal } from "@preact/signals";
import { useRef } from "preact/hooks";
import { useId } from "./id";
import "./tree.css";

/** One row of a tree; rows stand in the order in which they are seen, each behind the one that it hangs on. */
export interface Row {
  readonly name: string;
  readonly level: number;
  /** What is told of it beside its name. */
  readonly aside: string;
}

interface TreeProps {
  readonly label: string;
  readonly rows: readonly Row[];
  readonly chosen: string | null;
  readonly choose: (name: string) => void;
}

const LETTERS_MS = 700; // after which letters begin a new word

export function Tree({ label, rows, chosen, choose }: TreeProps) {
  const list = useRef<HTMLUListElement>(null);
  const folded = useSignal<ReadonlySet<string>>(new Set());
  const letters = useRef({ typed: "", at: 0 });
  const id = useId();
  const seen = shown(rows, folded.value);
  const at = seen.findIndex(({ name }) => name === chosen);
  const reachable = seen[at < 0 ? 0 : at]?.name; // by Tab

  function go(row: Row | undefined): void {
    if (!row) return;
    choose(row.name);
    list.current?.querySelector<HTMLElement>(`#${CSS.escape(`${id}-${rows.indexOf(row)}`)}`)?.focus();
  }

  function press(event: KeyboardEvent): void {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const row = seen[Math.max(at, 0)];
    if (!row) return;
    const next = keyed(event.key, row);
    if (next === undefined) return;
    event.preventDefault();
    go(next ?? row);
  }

  /** The row that a key leads to, null for the one that has it, undefined for a key that is not for a tree. */
  function keyed(key: string, row: Row): Row | null | undefined {
    const open = !folded.value.has(row.name);
    const below = childrenOf(rows, row);
    if (key === "ArrowDown") return seen[Math.max(at, 0) + 1] ?? null;
    if (key === "ArrowUp") return seen[at - 1] ?? null;
    if (key === "Home") return seen[0] ?? null;
    if (key === "End") return seen.at(-1) ?? null;
    if (key === "Enter" || key === " ") return null;
    if (key === "ArrowRight") {
      if (below.length === 0 || !open) return void fold(row, folded, false), null;
      return below[0] ?? null;
    }
    if (key === "ArrowLeft") {
      if (below.length > 0 && open) return void fold(row, folded, true), null;
      return seen.slice(0, at).findLast(({ level }) => level < row.level) ?? null;
    }
    return key.length === 1 ? (named(key, row) ?? null) : undefined;
  }

  /** The next row whose name begins with the letters that were typed in a row. */
  function named(letter: string, row: Row): Row | undefined {
    const now = performance.now();
    const before = now - letters.current.at < LETTERS_MS ? letters.current.typed : "";
    const typed = before === letter ? letter : before + letter; // one letter again goes on to the next
    letters.current = { typed, at: now };
    const from = seen.indexOf(row) + (typed.length === 1 ? 1 : 0);
    const round = [...seen.slice(from), ...seen.slice(0, from)];
    return round.find(({ name }) => name.toLowerCase().startsWith(typed.toLowerCase()));
  }

  return (
    <ul ref={list} role="tree" class="tree" aria-label={label} onKeyDown={press}>
      {seen.map((row) => {
        const below = childrenOf(rows, row);
        const kin = kinOf(rows, row);
        return (
          <li
            key={row.name}
            id={`${id}-${rows.indexOf(row)}`}
            role="treeitem"
            class={`tree__row tree__row--${Math.min(row.level, 9)}`}
            aria-level={row.level}
            aria-setsize={kin.length}
            aria-posinset={kin.indexOf(row) + 1}
            aria-selected={row.name === chosen}
            aria-expanded={below.length > 0 ? !folded.value.has(row.name) : undefined}
            tabIndex={row.name === reachable ? 0 : -1}
            onClick={() => go(row)}
          >
            <span
              class="tree__fold"
              aria-hidden="true"
              onClick={(event) => {
                if (below.length === 0) return;
                event.stopPropagation();
                fold(row, folded, !folded.value.has(row.name));
              }}
            />
            <span class="tree__name">{row.name}</span>
            <span class="quiet">{row.aside}</span>
          </li>
        );
      })}
    </ul>
  );
}

function fold(row: Row, folded: Signal<ReadonlySet<string>>, away: boolean): void {
  const next = new Set(folded.value);
  if (away) next.add(row.name);
  else next.delete(row.name);
  folded.value = next;
}

/** The rows that are not folded away. */
function shown(rows: readonly Row[], folded: ReadonlySet<string>): readonly Row[] {
  let hidden = Infinity; // rows deeper than this are
  return rows.filter(({ name, level }) => {
    if (level > hidden) return false;
    hidden = folded.has(name) ? level : Infinity;
    return true;
  });
}

/** The rows that hang on this one itself. */
function childrenOf(rows: readonly Row[], row: Row): readonly Row[] {
  const after = rows.slice(rows.indexOf(row) + 1);
  const end = after.findIndex(({ level }) => level <= row.level);
  return (end < 0 ? after : after.slice(0, end)).filter(({ level }) => level === row.level + 1);
}

/** The rows that hang on the same one, itself among them. */
function kinOf(rows: readonly Row[], row: Row): readonly Row[] {
  const above = rows.slice(0, rows.indexOf(row)).findLast(({ level }) => level < row.level);
  return above ? childrenOf(rows, above) : rows.filter(({ level }) => level === row.level);
}
