/** Motion: what the figure really does when values change. */

import { useSignal } from "@preact/signals";
import type { Bench } from "../../bench";
import type { FileView } from "../../engine/protocol";
import { download } from "../../ui/browser";
import { Button } from "../../ui/button";
import { Caution } from "../../ui/caution";
import { Fold } from "../../ui/fold";
import { complain } from "../../ui/toasts";
import { Cues } from "./cues";
import { CurveTable } from "./curve-table";
import { Limits } from "./limits";
import { Readings } from "./readings";
import { ShowPicker } from "./show-picker";
import { StrikeSearch } from "./strikes";
import { Suggestion } from "./suggestion";
import "./motion.css";

export function Motion({ bench }: { bench: Bench }) {
  const { session, rehearsal, player, curves } = bench;
  const cues = useSignal(false);
  const table = useSignal(false);
  return (
    <div class="stack">
      <h2>Motion</h2>
      <p class="quiet">Values jump; servos do not. Open a show to see how the figure really moves within its speed and acceleration limits.</p>
      <Caution />
      <ShowPicker session={session} rehearsal={rehearsal} take={bench.take} began={() => (cues.value = true)} />
      {rehearsal.show.value && (
        <div class="stack">
          <Fold title="Cues" at={cues}>
            <Cues session={session} rehearsal={rehearsal} player={player} />
          </Fold>
          <Fold title="Speed and acceleration" open>
            <Limits session={session} rehearsal={rehearsal} />
          </Fold>
          <Fold title="Readings">
            <Readings rehearsal={rehearsal} />
          </Fold>
          <Fold title="Curves as a table" at={table}>
            {table.value && <CurveTable session={session} curves={curves} />}
          </Fold>
          <Fold title="Gentler limits">
            <Suggestion session={session} rehearsal={rehearsal} />
          </Fold>
          <Fold title="Strikes during the show">
            <StrikeSearch session={session} rehearsal={rehearsal} player={player} />
          </Fold>
          <Fold title="Export">
            <Files bench={bench} />
          </Fold>
        </div>
      )}
    </div>
  );
}

function Files({ bench: { session, rehearsal, curves } }: { bench: Bench }) {
  const save = (asked: Promise<FileView>): void => void asked.then(({ name, data, type }) => download(name, data, type), complain);

  async function picture(): Promise<void> {
    const name = rehearsal.show.value?.name ?? "curves";
    const drawn = await curves.picture.value?.();
    if (drawn) download(`${name}.png`, drawn, "image/png");
  }

  return (
    <div class="stack">
      <p class="quiet">The real motion, not the commanded one. To film it, press Film below the figure.</p>
      <div class="row">
        <Button icon="save" words="Animated GLB" onClick={() => save(session.make("motion_glb", {}))} />
        <Button icon="save" words="Curves of all drives (CSV)" onClick={() => save(session.make("motion_csv", {}))} />
        <Button icon="picture" words="Curves as drawn (PNG)" onClick={() => void picture().catch(complain)} />
      </div>
    </div>
  );
}
