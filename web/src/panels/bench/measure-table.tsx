/** Rows of pulse and angle, as a spreadsheet takes them: Enter goes on, arrows go up and down, a block can be pasted. */

import { useRef } from "preact/hooks";
import type { MeasuredRow, SentView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { short } from "../../ui/numbers";
import type { Row } from "./draft";

interface MeasureTableProps {
  readonly rows: readonly Row[];
  /** What Python makes of them; may be a moment behind. */
  readonly told: readonly MeasuredRow[];
  readonly sent: readonly SentView[];
  readonly set: (rows: readonly Row[]) => void;
  readonly paste: (text: string, at: number) => void;
}

/** An angle may have a minus, which not every phone has among its keys for numbers. */
const KEYS = ["decimal", "text"] as const;
const HEADS = ["pulse, µs", "angle, °"] as const;

export function MeasureTable({ rows, told, sent, set, paste }: MeasureTableProps) {
  const body = useRef<HTMLTableSectionElement>(null);
  const shown = [...rows, ["", ""] as Row]; // one more to write in

  function go(row: number, column: number): void {
    body.current?.querySelector<HTMLInputElement>(`[data-cell="${row} ${column}"]`)?.focus();
  }

  function write(row: number, column: number, text: string): void {
    const next = shown.map((each, at): Row => (at !== row ? each : column === 0 ? [text, each[1]] : [each[0], text]));
    set(next.at(-1)?.every((cell) => cell.trim() === "") ? next.slice(0, -1) : next);
  }

  function press(event: KeyboardEvent, row: number, column: number): void {
    const to = {
      Enter: event.shiftKey ? ([row - 1, column] as const) : column === 0 ? ([row, 1] as const) : ([row + 1, 0] as const),
      ArrowDown: [row + 1, column] as const,
      ArrowUp: [row - 1, column] as const,
    }[event.key];
    if (!to) return;
    event.preventDefault();
    go(...to);
  }

  function pasted(event: ClipboardEvent, row: number): void {
    const text = event.clipboardData?.getData("text/plain") ?? "";
    if (!/[\t\n;]/.test(text.trim())) return; // one number goes where the caret is
    event.preventDefault();
    paste(text, row);
  }

  function drop(row: number): void {
    set(rows.filter((_, at) => at !== row));
    go(Math.min(row, rows.length - 1), 0);
  }

  return (
    <table class="measure">
      <caption class="quiet">Enter goes to the next cell. Two columns of a spreadsheet can be pasted.</caption>
      <thead>
        <tr>
          <th scope="col">row</th>
          {HEADS.map((head) => <th key={head} scope="col">{head}</th>)}
          <th scope="col">off the line</th>
          <td />
        </tr>
      </thead>
      <tbody ref={body}>
        {shown.map((cells, row) => (
          <tr key={row} class={told[row]?.state === "left_out" ? "measure__row--out" : undefined}>
            <th scope="row">{row + 1}</th>
            {cells.map((cell, column) => (
              <td key={column}>
                <input
                  type="text"
                  inputMode={KEYS[column]}
                  class="input measure__cell"
                  autocomplete="off"
                  data-cell={`${row} ${column}`}
                  aria-label={`Row ${row + 1}, ${HEADS[column]}`}
                  aria-invalid={told[row]?.state === "wrong"}
                  aria-describedby={`measured-${row}`}
                  value={cell}
                  onInput={(event) => write(row, column, event.currentTarget.value)}
                  onKeyDown={(event) => press(event, row, column)}
                  onPaste={(event) => pasted(event, row)}
                />
              </td>
            ))}
            <td id={`measured-${row}`} class="measure__told">
              <Told row={told[row]} value={sent.find(({ pulse }) => pulse === cells[0].trim())?.value} />
            </td>
            <td>{row < rows.length && <Button icon="drop" name={`Remove row ${row + 1}`} kind="plain" onClick={() => drop(row)} />}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}

function Told({ row, value }: { row: MeasuredRow | undefined; value: string | undefined }) {
  if (row?.state === "wrong") return <span class="measure__wrong">{row.told}</span>;
  const off = row?.off_deg ?? null;
  if (off === null) return <span class="quiet">{value === undefined ? "" : `send ${value}`}</span>;
  return (
    <>
      <span class="number">{off > 0 ? "+" : ""}{short(off)}°</span>
      {row?.told && <strong class="measure__mark"> {row.state === "left_out" ? "✕" : "◆"} {row.told}</strong>}
    </>
  );
}
