/** Text that was to be copied where the browser copies nothing: shown and selected, for whoever copies it by hand. */

import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { copyText } from "../ui/copy";
import { Dialog } from "../ui/dialog";

const open = signal(false);
const text = signal("");

/** Copy a text that stands nowhere on the page, or else show it. Answers whether it was copied. */
export async function copyOrShow(words: string): Promise<boolean> {
  try {
    await copyText(words);
    return true;
  } catch {
    [text.value, open.value] = [words, true];
    return false;
  }
}

export function ByHand() {
  return (
    <Dialog title="Copy it by hand" open={open}>
      <p>This browser copies nothing here. The text is selected: copy it as any text.</p>
      <Selected />
    </Dialog>
  );
}

function Selected() {
  const area = useRef<HTMLTextAreaElement>(null);
  useEffect(() => {
    area.current?.focus();
    area.current?.select();
  }, []);
  return <textarea ref={area} class="input" rows={10} readonly aria-label="Text to copy" value={text.value} />;
}
