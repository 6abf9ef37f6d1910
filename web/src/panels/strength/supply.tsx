/** What the supply has to give. The cautions stand before the figures. */

import type { FeedView, ProofView, StrengthView } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { Findings } from "../../ui/finding";
import { Table } from "../../ui/table";

interface SupplyProps {
  readonly whole: StrengthView;
  readonly feeds: readonly FeedView[];
  /** Of the prop as it is now; null while there is none. */
  readonly proof: ProofView | null;
  /** Whether there was one, of the prop as it was. */
  readonly outdated: boolean;
}

export function Supply({ whole, feeds, proof, outdated }: SupplyProps) {
  const supplies = proof?.supplies ?? [];
  return (
    <div class="stack">
      <p class="caution">{whole.caution}</p>
      <Findings findings={whole.cautions} />
      {supplies.length === 0 && (
        <p class="quiet">
          {outdated ? "The prop has changed since it was proved. " : ""}Currents, fuse and wire follow from what the servos hold at most: prove the worst {outdated ? "again" : "first"}.
        </p>
      )}
      {supplies.map(({ name, rows }) => (
        <section key={name} class="stack stack--tight">
          {supplies.length > 1 && <h3>{name}</h3>}
          {supplies.length > 1 && <p class="quiet">Feeds {feeds.find((feed) => feed.name === name)?.drives.map(apart).join(", ") || "no drive"}.</p>}
          <Table caption={`Figures of ${name}`} heads={["what", "figure"]} rows={rows} />
        </section>
      ))}
    </div>
  );
}
