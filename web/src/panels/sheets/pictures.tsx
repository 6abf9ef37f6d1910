/** The picture sheet: all looks from three sides, made look by look. */

import type { MakerProps } from "./maker";
import { Making } from "./making";

export function Pictures({ session, paper, show }: MakerProps) {
  return (
    <div class="stack">
      <p class="quiet">Every look from the front, the left and above, all to one scale, with what there is to tell of it. To print, or as one picture.</p>
      <Making
        words="Show the picture sheet"
        pieces="looks"
        progress="Looks drawn"
        begin={() => session.make("pictures", { paper })}
        on={() => session.make("pictures_on", {})}
        show={show}
      />
    </div>
  );
}
