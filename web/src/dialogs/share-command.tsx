/** A command for a terminal, to be copied. */

import { useSignal } from "@preact/signals";
import { Button } from "../ui/button";
import { copyText } from "../ui/copy";
import { complain } from "../ui/toasts";

export function Command({ words }: { words: string }) {
  const copied = useSignal(false);
  const copy = (): void => void copyText(words).then(() => (copied.value = true), complain);
  return (
    <div class="row">
      <code class="command">{words}</code>
      <Button icon="copy" name={`Copy ${words}`} onClick={copy} />
      <span role="status">{copied.value && "Copied."}</span>
    </div>
  );
}
