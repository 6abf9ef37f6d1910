/** Strength: what the servos hold in this pose, at most, and over a show; and what the supply has to give. */

import { useSignal } from "@preact/signals";
import type { Bench } from "../../bench";
import type { HeldView, StrengthView } from "../../engine/protocol";
import { Caution } from "../../ui/caution";
import { Findings } from "../../ui/finding";
import { Fold } from "../../ui/fold";
import { Icon } from "../../ui/icon";
import { Bar, type Barred, BarTable, Scale } from "./bars";
import { Figures } from "./figures";
import { Falls } from "./falls";
import { Receiver, Supplies } from "./supplies";
import { Supply } from "./supply";
import { Worst } from "./worst";
import "./strength.css";

export function StrengthPanel({ bench }: { bench: Bench }) {
  const { session, strength, prover, faller } = bench;
  const whole = strength.whole.value;
  return (
    <div class="stack">
      <h2>Strength</h2>
      {whole && <Dangers whole={whole} />}
      <Caution />
      {whole ? (
        <>
          <InThisPose bench={bench} whole={whole} />
          <Fold title="The worst over everything the end points allow" open>
            <Worst bench={bench} whole={whole} />
          </Fold>
          <Fold title="When servos let go, and when values stop">
            <Falls session={session} faller={faller} />
          </Fold>
          <Fold title="Currents, fuse and wire">
            <Supply whole={whole} feeds={session.prop.value?.feeds ?? []} proof={prover.outdated.value ? null : prover.proof.value} outdated={prover.outdated.value} />
          </Fold>
          {session.prop.value && (
            <>
              <Fold title={session.prop.value.feeds.length > 1 ? `Supplies: ${session.prop.value.feeds.length}` : "Supply"}>
                <Supplies session={session} prop={session.prop.value} />
              </Fold>
              <Fold title="Receiver: what drives do when values stop">
                <Receiver session={session} prop={session.prop.value} />
              </Fold>
            </>
          )}
          <Fold title={whole.missing.length > 0 ? `Figures of the servos: ${whole.missing.length} missing` : "Figures of the servos"}>
            <Figures session={session} whole={whole} />
          </Fold>
        </>
      ) : (
        <p class="quiet" role="status">{session.prop.value && "Weighing the parts…"}</p>
      )}
    </div>
  );
}

/** What destroys something at once stands before everything else. */
function Dangers({ whole }: { whole: StrengthView }) {
  if (whole.dangers.length === 0) return null;
  return (
    <section class="danger stack stack--tight" role="alert">
      <h3 class="row">
        <Icon name="error" />
        Do not connect the supply
      </h3>
      <Findings findings={whole.dangers} />
    </section>
  );
}

function InThisPose({ bench: { session, strength, view }, whole }: { bench: Bench; whole: StrengthView }) {
  const held = strength.held.value;
  const rows = rowsOf(session.prop.value?.drives.map(({ name }) => name) ?? [], held, whole);
  const tabled = useSignal(false);
  return (
    <section class="stack stack--tight">
      <div class="row row--between">
        <h3>In this pose</h3>
        <label class="check">
          <input type="checkbox" checked={strength.drawn.value} onChange={(event) => (strength.drawn.value = event.currentTarget.checked)} />
          worst in the picture
        </label>
      </div>
      {view.apart.value && <p class="quiet">The picture shows something else for now; these bars are of the pose that the channels give.</p>}
      <Scale whole={whole} />
      <ul class="strains" aria-label="What each servo holds in this pose">
        {rows.map((each) => <Bar key={each.drive} {...each} whole={whole} worst={each.drive === held?.worst} />)}
      </ul>
      {rows.length === 0 && <p class="quiet">No drive yet, so no servo holds anything.</p>}
      <Fold title="This pose as a table" at={tabled}>
        {tabled.value && <BarTable caption="What each servo holds in this pose" rows={rows} whole={whole} />}
      </Fold>
    </section>
  );
}

/** A row a drive; none while what is known is of other drives. */
function rowsOf(drives: readonly string[], held: HeldView | null, { stall_nm }: StrengthView): Barred[] {
  if (held?.loads.length !== drives.length || stall_nm.length !== drives.length) return [];
  return drives.flatMap((drive, index) => {
    const load = held.loads[index];
    return load ? [{ drive, load, stall: stall_nm[index] ?? null }] : [];
  });
}
