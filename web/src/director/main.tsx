/** The director's file, opened. */

import { render } from "preact";
import { App, NoFile } from "./app";
import { createDesk } from "./desk";
import "./director.css";
import type { Said } from "./form";
import { unpack } from "./packed";

const place = document.getElementById("file") ?? document.body;

async function open(): Promise<void> {
  if (!("DecompressionStream" in globalThis)) throw new Error("This browser is too old to unpack the file. A newer one shows it.");
  const packed = atob(document.getElementById("data")?.textContent ?? "");
  const data = await unpack<Said>(Uint8Array.from(packed, (letter) => letter.charCodeAt(0)));
  const template = document.getElementById("licences");
  const licences = template instanceof HTMLTemplateElement ? (template.content.textContent ?? "") : "";
  place.textContent = "";
  render(<App desk={createDesk(data.said)} data={data} licences={licences} />, place);
  document.documentElement.dataset["file"] = "open";
}

open().catch((reason: unknown) => {
  const why = reason instanceof Error ? reason.message : String(reason);
  render(<NoFile why={`${why} The file may be cut short: ask for it again, or open it in another browser.`} />, place);
});
