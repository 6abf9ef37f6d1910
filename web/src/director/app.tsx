/** The file as a director sees it: the figure, what it can show, and what is to be said of it. */

import { Button } from "../ui/button";
import { Fold } from "../ui/fold";
import { Icon } from "../ui/icon";
import type { Desk } from "./desk";
import type { Told } from "./form";
import { LookList } from "./looks";
import { NoteForm } from "./note-form";
import { CameNotes, OwnNotes } from "./note-lists";
import { PlayBar } from "./play-bar";
import { View } from "./view";
import type { Unpacked } from "./packed";
import type { Said } from "./form";

export function App({ desk, data, licences }: { desk: Desk; data: Unpacked<Said>; licences: string }) {
  const { said } = desk;
  return (
    <>
      <header class="head">
        <h1><bdi>{said.prop.told}</bdi></h1>
        <p class="quiet">
          Made on <time dateTime={said.made}>{day(said.made)}</time>, fingerprint <span class="number">{said.print}</span>
        </p>
      </header>
      <main class="file">
        <section class="view" aria-label="Figure">
          <View desk={desk} data={data} />
          <PlayBar player={desk.player} />
        </section>
        <div class="side stack">
          <LookList desk={desk} />
          <Seen desk={desk} />
          <NoteForm desk={desk} />
          <p role="status" class="quiet heard">{desk.heard.value}</p>
          <OwnNotes desk={desk} />
          <CameNotes desk={desk} />
          <Fold title="Caution: moving parts pinch">
            <ul class="points">{said.cautions.map((line) => <li key={line}>{line}</li>)}</ul>
          </Fold>
          <Fold title="About this file">
            <p>
              It shows the prop as it was on {day(said.made)}. The builder's files had the fingerprint{" "}
              <span class="number">{said.print}</span> then: ask for it now, and if it is another one, this file is old.
            </p>
            <p>It needs no network, and sends nothing to anyone. Sizes are in mm; the size bar is correct at the centre of the view.</p>
            <Fold title="Licences">
              <pre class="licences" tabIndex={0} role="region" aria-label="Licences">{licences}</pre>
            </Fold>
          </Fold>
        </div>
      </main>
    </>
  );
}

/** What is told of what is seen. */
function Seen({ desk: { player } }: { desk: Desk }) {
  const [look, show] = [player.look.value, player.show.value];
  const findings: readonly Told[] = (look ?? show)?.findings ?? [];
  const rest = findings.filter(([level]) => level !== "error");
  if (!show?.said && findings.length === 0) return null;
  return (
    <section class="stack stack--close" aria-label="About what is shown">
      {findings.filter(([level]) => level === "error").map((told) => <Finding key={told[1]} told={told} />)}
      {(show?.said || rest.length > 0) && (
        <Fold title="Technical notes">
          {show?.said && <p>{show.said}</p>}
          {rest.map((told) => <Finding key={told[1]} told={told} />)}
        </Fold>
      )}
    </section>
  );
}

function Finding({ told: [level, sentence] }: { told: Told }) {
  return (
    <p class={`finding finding--${level}`}>
      <Icon name={level} />
      <span><strong>{LEVELS[level]}:</strong> <bdi>{sentence}</bdi></span>
    </p>
  );
}

const LEVELS = { error: "Wrong", warning: "Warning", note: "Note" } as const;

/** A day as people write it: 26 November 2026. */
function day(date: string): string {
  const found = new Date(`${date}T12:00:00`);
  return Number.isNaN(found.getTime()) ? date : found.toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric" });
}

/** What stands in place of the figure where it cannot be shown. */
export function NoFile({ why }: { why: string }) {
  return (
    <main class="plain stack">
      <h1>This file cannot be shown here</h1>
      <p role="alert">{why}</p>
      <Button words="Try again" onClick={() => location.reload()} />
    </main>
  );
}
