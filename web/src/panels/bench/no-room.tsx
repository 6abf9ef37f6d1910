/** What to do where the browser keeps as many tables as it may: one is copied, or let go of, by whoever measured it. */

import { ask } from "../../dialogs/ask";
import { copyOrShow } from "../../dialogs/by-hand";
import { Button } from "../../ui/button";
import { complain, say } from "../../ui/toasts";
import { type Kept, keptTables, letGo, MOST } from "./draft";

export function NoRoom() {
  return (
    <div class="stack">
      <p class="wrong no-room__why" role="alert">This browser keeps {MOST} tables of measurements, and all {MOST} are in use. Let go of one below, then go on.</p>
      <ul class="no-room">
        {keptTables().map((table) => (
          <li key={table.key} class="row">
            <span>{nameOf(table)}</span>
            <Button icon="copy" words="Copy" name={`Copy ${nameOf(table)}`} onClick={() => void copy(table).catch(complain)} />
            <Button words="Let go" name={`Let go of ${nameOf(table)}`} kind="plain" onClick={() => void drop(table).catch(complain)} />
          </li>
        ))}
      </ul>
    </div>
  );
}

function nameOf({ servo, prop, rows, at }: Kept): string {
  const of = prop === undefined ? servo : `${servo} of ${prop}`;
  return `${of}, ${rows.length} ${rows.length === 1 ? "row" : "rows"}, ${new Date(at).toLocaleDateString()}`;
}

/** As a spreadsheet takes it, and this table again. */
async function copy({ rows }: Kept): Promise<void> {
  if (await copyOrShow(rows.map((row) => row.join("\t")).join("\n"))) say("Table copied.");
}

async function drop(table: Kept): Promise<void> {
  const words = "What was measured is not in the prop file unless it was taken. This cannot be undone.";
  if (await ask({ title: `Let go of ${nameOf(table)}?`, words, yes: "Let it go", no: "Keep it" })) letGo(table.key);
}
