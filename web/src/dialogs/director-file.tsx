/** The one file for the director, made by the core; what draws it came with this page. */

import { useSignal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import type { ShownView } from "../engine/protocol";
import { download } from "../ui/browser";
import { Button } from "../ui/button";
import { Findings } from "../ui/finding";
import { Fold } from "../ui/fold";
import { useRefusal } from "../ui/refusal";
import { complainUnasked } from "../ui/toasts";
import type { Session } from "../work/session";

const STEP_S = 0.2; // between two looks at the progress

export function DirectorFile({ session }: { session: Session }) {
  const refusal = useRefusal();
  const all = useSignal<ShownView | null>(null);
  const left = useSignal<ReadonlySet<string>>(new Set());
  const done = useSignal<readonly [number, number] | null>(null);
  const said = useSignal("");
  const stopped = useRef(false);

  const opened = session.opened.value;
  const still = session.progress.value.stage === "stopped"; // Python is
  useEffect(() => {
    [all.value, left.value] = [null, new Set()];
  }, [opened]);
  useEffect(() => {
    if (!still && !all.value) session.engine.ask("director_shown", {}).then((found) => (all.value = found), complainUnasked);
  }, [still, opened]);
  useEffect(() => () => void (stopped.current = true), []);

  const names = [...new Set([...(all.value?.looks ?? []), ...(all.value?.shows ?? [])])];

  async function make(): Promise<void> {
    stopped.current = false;
    [done.value, said.value] = [[0, 1], ""];
    try {
      const [script, style, licences] = await Promise.all(["figure.js", "figure.css", "licences.txt"].map(carried));
      const taken = names.filter((name) => !left.value.has(name));
      let view = await session.make("director_file", { names: taken, script: script ?? "", style: style ?? "", licences: licences ?? "" }, opened);
      while (!view.file && !stopped.current) {
        done.value = [view.done, view.of];
        view = await session.make("director_file_on", { seconds: STEP_S }, opened);
      }
      if (!view.file || stopped.current) return;
      download(view.file.name, view.file.data, view.file.type);
      said.value = `${view.file.name} saved, ${(view.file.data.byteLength / 1e6).toFixed(1)} MB, fingerprint ${view.fingerprint}.`;
    } finally {
      done.value = null;
    }
  }

  function wordsOf(): string {
    if (still) return "Python stands still. Close this box and start it again: then this file can be made.";
    if (!all.value) return "Reading the prop…";
    return done.value ? `${done.value[0]} of ${done.value[1]} parts, looks and shows` : said.value;
  }

  return (
    <section class="stack" aria-labelledby="share-director">
      <h3 id="share-director">A file for the director</h3>
      <p class="quiet">
        One HTML file that opens anywhere, without a network: the figure to turn, its looks and shows as the servos move. Whoever has it can
        approve a look or ask for a change, and send notes back. A pose that is no look yet: keep it in Looks first.
      </p>
      {names.length > 0 && (
        <Fold title={`Looks and shows in it: ${left.value.size === 0 ? "all" : `${names.length - left.value.size} of ${names.length}`}`}>
          {names.map((name) => (
            <label class="check" key={name}>
              <input
                type="checkbox"
                checked={!left.value.has(name)}
                onChange={(event) => {
                  const now = new Set(left.value);
                  if (event.currentTarget.checked) now.delete(name);
                  else now.add(name);
                  left.value = now;
                }}
              />
              <span>
                <bdi>{name}</bdi> <span class="quiet">{kinds(all.value, name)}</span>
              </span>
            </label>
          ))}
        </Fold>
      )}
      <div class="row">
        {done.value ? (
          <Button words="Stop" onClick={() => (stopped.current = true)} />
        ) : (
          <Button icon="save" words="Save the director's file" kind="main" disabled={!all.value || still} onClick={() => void refusal.attempt(make)} />
        )}
      </div>
      {done.value && <progress class="progress progress--wide" aria-label="Parts, looks and shows done" max={done.value[1]} value={done.value[0]} />}
      <p role="status" class="quiet">{wordsOf()}</p>
      <Findings findings={refusal.findings} />
    </section>
  );
}

function kinds(all: ShownView | null, name: string): string {
  return [all?.looks.includes(name) && "look", all?.shows.includes(name) && "show"].filter(Boolean).join(" and ");
}

/** A file of the build that the director's file carries. */
async function carried(name: string): Promise<string> {
  const answer = await fetch(`director/${name}`);
  if (!answer.ok) throw new Error(`This page came without director/${name}, which the file needs; the site may have been copied in part.`);
  return answer.text();
}
