/** Sheets for the install, setting cards and the picture sheet: to look at, to print, to save; and what comes back filled in. */

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { Bench } from "../../bench";
import { BUDGETS, type ComparedView, type FileView } from "../../engine/protocol";
import { download } from "../../ui/browser";
import { Button } from "../../ui/button";
import { Caution } from "../../ui/caution";
import { Dialog } from "../../ui/dialog";
import { Field, Select } from "../../ui/field";
import { Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { useId } from "../../ui/id";
import { useRefusal } from "../../ui/refusal";
import { Table } from "../../ui/table";
import { complain } from "../../ui/toasts";
import { readable } from "../../work/files";
import type { Second } from "../../work/second";
import type { Session } from "../../work/session";
import { PAPERS, type MakerProps, type Paper } from "./maker";
import { Making } from "./making";
import { lay, print } from "./paper";
import { Pictures } from "./pictures";
import { hasPictures, pngOf } from "./png";
import "./sheets.css";

const STEP_S = 0.2; // between two looks at the progress

export function Sheets({ bench: { session, second } }: { bench: Bench }) {
  const paper = useSignal<Paper>("A4");
  const seen = useSignal<FileView | null>(null);
  const open = useSignal(false);

  function show(file: FileView): void {
    seen.value = file;
    open.value = true;
  }

  return (
    <div class="stack">
      <h2>Sheets</h2>
      <Field label="Paper">
        {(named) => <Select {...named} options={PAPERS} value={paper.value} pick={(to) => (paper.value = to === "Letter" ? "Letter" : "A4")} />}
      </Field>
      <Fold title="For the install" open>
        <Install session={session} second={second} paper={paper.value} show={show} />
      </Fold>
      <Fold title="Setting cards" open>
        <Cards session={session} paper={paper.value} show={show} />
      </Fold>
      <Fold title="Picture sheet" open>
        <Pictures session={session} paper={paper.value} show={show} />
      </Fold>
      <Fold title="What was measured" open>
        <Measured session={session} />
      </Fold>
      <Caution />
      <Dialog title={seen.value?.name.replace(/\.html$/, "") ?? "Sheet"} open={open} wide>
        {seen.value && <Look file={seen.value} />}
      </Dialog>
    </div>
  );
}

function Install({ session, second, paper, show }: MakerProps & { second: Second }) {
  const refusal = useRefusal();
  const strength = useSignal(true);
  const weighing = useSignal(false);

  async function make(form: "html" | "csv" | "md", then: (file: FileView) => void): Promise<void> {
    weighing.value = strength.value;
    try {
      // What takes seconds is for the second worker.
      const { make } = strength.value ? await second.ready() : session;
      then(await make("sheet_file", { form, paper, strength: strength.value }));
    } finally {
      weighing.value = false;
    }
  }
  const making = (form: "html" | "csv" | "md", then: (file: FileView) => void) => (): void => void refusal.attempt(() => make(form, then));

  return (
    <div class="stack">
      <p class="quiet">Patch, wiring by universe, strength and supply, and calibration, with columns to tick and for what was measured.</p>
      <label class="check">
        <input type="checkbox" checked={strength.value} onChange={(event) => (strength.value = event.currentTarget.checked)} />
        Strength and supply, which takes some seconds
      </label>
      <div class="row">
        <Button icon="look" words="Show the sheets" kind="main" off={weighing.value} onClick={making("html", show)} />
        <Button icon="save" words="CSV to fill in" off={weighing.value} onClick={making("csv", save)} />
        <Button icon="save" words="Markdown" off={weighing.value} onClick={making("md", save)} />
      </div>
      <p class="quiet" role="status">{weighing.value && "Proving what the servos hold at most; what is not done in 10 s says so on the sheet…"}</p>
      <Findings findings={refusal.findings} />
    </div>
  );
}

function Cards({ session, paper, show }: MakerProps) {
  const times = useSignal<File | null>(null);

  async function begin() {
    const of = session.opened.value;
    const typed = times.value && (await readable(times.value, BUDGETS.MEASURED_BYTES, "a table of times"));
    return session.make("cards", { paper, times: typed, name: times.value?.name ?? "" }, of);
  }

  return (
    <div class="stack">
      <p class="quiet">
        For whoever stands at the prop with a knob and no figures: each joint at low, middle and high, what comes first past each end, and
        times to hold a stopwatch against.
      </p>
      <Chosen
        label="Times at steps of the controller (CSV, if there are any)"
        hint="drive,setting,step,seconds, as timed from low to high; setting is speed or acceleration. The cards then name the nearest step."
        take={(file) => (times.value = file)}
      />
      <Making
        words="Show setting cards"
        pieces="cards"
        progress="Cards made"
        begin={begin}
        on={() => session.make("cards_on", { seconds: STEP_S })}
        show={show}
      />
    </div>
  );
}

function Measured({ session }: { session: Session }) {
  const refusal = useRefusal();
  const found = useSignal<ComparedView | null>(null);

  async function compare(file: File | null): Promise<void> {
    found.value = null;
    if (!file) return;
    await refusal.attempt(async () => {
      const data = await readable(file, BUDGETS.MEASURED_BYTES, "a filled-in sheet");
      found.value = await session.engine.ask("compare_sheet", { data, name: file.name });
    });
  }

  return (
    <div class="stack">
      <Chosen
        label="A CSV of the sheets that was filled in"
        hint="You see what differs, with the key of the prop file that would change. Nothing is changed."
        take={(file) => void compare(file)}
      />
      <p role="status">{found.value?.summary}</p>
      <Findings findings={[...refusal.findings, ...(found.value?.findings ?? [])]} />
      {found.value && found.value.rows.length > 0 && (
        <Table
          caption="Measured against the prop file"
          heads={["drive", "figure", "planned", "measured", "off", "differs"]}
          rows={found.value.rows.map((row) => [row.drive, row.figure, row.planned, row.measured, row.off, row.differs ? "yes" : "no"])}
        />
      )}
    </div>
  );
}

function Chosen({ label, hint, take }: { label: string; hint: string; take: (file: File | null) => void }) {
  const id = useId();
  return (
    <div class="field">
      <label for={id}>{label}</label>
      <input
        class="input"
        id={id}
        type="file"
        accept=".csv,text/csv"
        aria-describedby={`${id}-hint`}
        // Begun anew, for a browser says nothing where the same file is chosen again, which may hold more by now.
        onClick={(event) => {
          event.currentTarget.value = "";
          take(null);
        }}
        onChange={(event) => take(event.currentTarget.files?.[0] ?? null)}
      />
      <span class="quiet" id={`${id}-hint`}>{hint}</span>
    </div>
  );
}

/** The document as it will be printed. */
function Look({ file }: { file: FileView }) {
  const box = useRef<HTMLDivElement>(null);
  const html = new TextDecoder().decode(file.data);
  useEffect(() => {
    if (box.current) lay(box.current, html);
  }, [html]);
  return (
    <div class="stack">
      <div class="row">
        <Button words="Print" kind="main" onClick={() => print(html)} />
        <Button icon="save" words="Save as HTML" onClick={() => save(file)} />
        {hasPictures(html) && <Button icon="picture" words="Save as PNG" onClick={() => void savePng(file.name, html).catch(complain)} />}
      </div>
      <div class="paper" ref={box} role="document" aria-label={file.name} tabIndex={0} />
    </div>
  );
}

async function savePng(name: string, html: string): Promise<void> {
  download(name.replace(/html$/, "png"), await pngOf(html), "image/png");
}

function save({ name, data, type }: FileView): void {
  download(name, data, type);
}
