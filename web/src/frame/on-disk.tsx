/** The bar that tells what is wrong with the prop on disk, while the figure stays as it was last. */

import { Findings } from "../ui/finding";
import type { Folder } from "../work/folder";

const MOST = 3;

export function WrongOnDisk({ folder: { onDisk } }: { folder: Folder }) {
  const findings = onDisk.value?.findings ?? [];
  if (findings.length === 0) return null;
  const more = findings.length - MOST;
  return (
    <div class="onlooker onlooker--wrong" role="status">
      <div class="stack stack--close">
        <span>{onDisk.value?.name} on disk cannot be read, so the figure stays as it was. Mend it, and it shows here.</span>
        <Findings findings={findings.slice(0, MOST)} />
        {more > 0 && (
          <details>
            <summary>{more} more</summary>
            <Findings findings={findings.slice(MOST)} />
          </details>
        )}
      </div>
    </div>
  );
}
