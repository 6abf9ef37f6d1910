/** A number to be typed or stepped. A field of type number is not used: of “6,5” some browsers make 65, others nothing. */

import { Typed, type TypedProps } from "./field";
import { read } from "./typed-number";

interface NumeralProps extends Omit<TypedProps, "wrong" | "now" | "keyed" | "type" | "inputMode"> {
  /** What an arrow adds; with Shift, or by page, ten times that. */
  readonly step?: number;
  /** No arrow goes below it. Without one there may be a minus, which the keys for numbers on a phone do not all have. */
  readonly least?: number;
  /** A number has to stand there: it cannot be left empty. */
  readonly always?: boolean;
}

export function Numeral({ step = 1, least, always = false, value, commit, ...rest }: NumeralProps) {
  return (
    <Typed
      {...rest}
      class="input--number"
      role="spinbutton"
      aria-valuemin={least}
      inputMode={least === undefined || least < 0 ? "text" : "decimal"}
      autocomplete="off"
      value={value}
      commit={commit}
      wrong={(text) => read(text).wrong ?? (always && text.trim() === "" ? "Nothing stands there; write a number such as 0." : null)}
      now={(text) => read(text).number ?? undefined}
      keyed={(event, text) => {
        const steps = { ArrowUp: event.shiftKey ? 10 : 1, ArrowDown: event.shiftKey ? -10 : -1, PageUp: 10, PageDown: -10 }[event.key];
        const { number, wrong } = read(text);
        if (!steps || wrong !== null) return false;
        const next = (number ?? 0) + steps * step;
        const to = String(Number(Math.max(next, least ?? -Infinity).toFixed(6))); // without what rounding leaves
        commit(to);
        return to;
      }}
    />
  );
}
