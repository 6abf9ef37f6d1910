/** What the supply has to give. The cautions stand before the figures. */

import type { ProofView, StrengthView } from "../../engine/protocol";
import { Findings } from "../../ui/finding";
import { Table } from "../../ui/table";

export function Supply({ whole, proof }: { whole: StrengthView; proof: ProofView | null }) {
  const supplies = proof?.supplies ?? [];
  return (
    <div class="stack">
      <p class="caution">{whole.caution}</p>
      <Findings findings={whole.cautions} />
      {supplies.length === 0 && <p class="quiet">Currents, fuse and wire follow from what the servos hold at most: prove the worst first.</p>}
      {supplies.map(({ name, rows }) => (
        <section key={name} class="stack stack--tight">
          {supplies.length > 1 && <h3>{name}</h3>}
          <Table caption={`Figures of ${name}`} heads={["what", "figure"]} rows={rows} />
        </section>
      ))}
    </div>
  );
}
