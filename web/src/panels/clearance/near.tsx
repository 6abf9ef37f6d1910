/** The pairs below the margin in this pose, as text; a click takes the camera there. */

import type { NearPair } from "../../engine/protocol";
import { Fold } from "../../ui/fold";
import { Icon } from "../../ui/icon";
import { LeftOut } from "../../ui/left-out";
import { nearText } from "../../view/strikes";
import type { Session } from "../../work/session";
import type { Nearness } from "./nearness";

export function NearList({ session, nearness }: { session: Session; nearness: Nearness }) {
  const near = nearness.near.value;
  const margin = session.prop.value?.margin_mm ?? 0;
  return (
    <section class="stack stack--tight">
      <div class="row row--between">
        <h3>In this pose</h3>
        <label class="check">
          <input type="checkbox" checked={nearness.drawn.value} onChange={(event) => (nearness.drawn.value = event.currentTarget.checked)} />
          in the picture
        </label>
      </div>
      <ul class="stack stack--tight">
        {near && near.pairs.length > 0 ? (
          near.pairs.map((pair, index) => (
            <li key={pair.pair.join("|")}>
              <NearRow near={pair} visit={() => nearness.visit(index)} />
            </li>
          ))
        ) : (
          <li class="quiet">{near ? `No checked parts are closer than the margin of ${margin} mm.` : "Not checked yet."}</li>
        )}
      </ul>
      {near && near.left_out.length > 0 && (
        <Fold title={`${near.summary}: see why`}>
          <LeftOut rows={near.left_out} />
        </Fold>
      )}
    </section>
  );
}

function NearRow({ near, visit }: { near: NearPair; visit: () => void }) {
  const level = near.mm > 0 ? "warning" : "error";
  const [a, b] = near.pair;
  return (
    <button type="button" class={`near finding finding--${level}`} onClick={visit} title="Show it in the picture">
      <Icon name={level} />
      <strong>{near.mm > 0 ? "Near" : "Strike"}</strong>
      <span class="near__pair"><bdi>{a}</bdi> – <bdi>{b}</bdi></span>
      <span class="number">{nearText(near)}</span>
    </button>
  );
}
