/** The axis that was found, in words, and the way to take it. */

import { useEffect, useRef } from "preact/hooks";
import { Button } from "../../ui/button";
import type { Jointer } from "./jointer";

export function FoundAxisNote({ jointer }: { jointer: Jointer }) {
  const found = jointer.found.value;
  const note = useRef<HTMLDivElement>(null);
  useEffect(() => void (found && note.current?.scrollIntoView({ block: "nearest" })), [found]);
  return (
    <div ref={note} class="stack" role="status">
      {found && (
        <>
          {found.told.map((words, index) => (
            <p key={index}>{words}</p>
          ))}
          <p>
            Its axis goes through <span class="number">{found.axis.text}</span>.
          </p>
          <div class="row">
            <Button words="Put the joint there" kind="main" onClick={() => void jointer.place(found.axis)} />
            <Button words="Cancel" onClick={() => ([jointer.found.value, jointer.spots.value] = [null, []])} />
          </div>
        </>
      )}
    </div>
  );
}
