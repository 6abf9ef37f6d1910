/** The bar that tells what is wrong with the prop on disk, while the figure stays as it was last. */

import { Button } from "../ui/button";
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

/** The browser asks for a folder anew at each visit, and only after a press. */
export function ShutFolder({ folder, failed }: { folder: Folder; failed: (problem: unknown) => void }) {
  const name = folder.shut.value;
  if (name === null) return null;
  return (
    <div class="onlooker" role="status">
      <span>This prop is kept in the folder {name}, which is not followed until you let the page at it again.</span>
      <Button words={`Follow ${name} again`} kind="main" onClick={() => void folder.reopen().catch(failed)} />
    </div>
  );
}
