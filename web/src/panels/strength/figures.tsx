/** The figures of the servos in use that strength and supply need, to be filled in from a data sheet. */

import type { StrengthView } from "../../engine/protocol";
import { Findings } from "../../ui/finding";
import type { Session } from "../../work/session";
import { Settings } from "../calibration/calibration";

const FIGURES = ["stall_torque", "stall_current", "idle_current", "friction", "rated", "voltage"];

export function Figures({ session, whole }: { session: Session; whole: StrengthView }) {
  const prop = session.prop.value;
  const used = prop?.servos.filter(({ name }) => prop.drives.some(({ servo }) => servo === name)) ?? [];
  return (
    <div class="stack">
      <Findings findings={whole.missing} />
      {used.map(({ name, fields }) => (
        <fieldset key={name} class="stack">
          <legend>Servo {name}</legend>
          <Settings session={session} fields={fields.filter(({ path }) => FIGURES.some((key) => path.endsWith(`.${key}`)))} />
        </fieldset>
      ))}
    </div>
  );
}
