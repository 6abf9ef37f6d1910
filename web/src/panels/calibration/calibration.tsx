/** Calibration: end points, trim, servo and linkage of one drive at a time, straight in the prop file. */

import type { Bench } from "../../bench";
import type { DriveView, FieldView, PropView } from "../../engine/protocol";
import { Button } from "../../ui/button";
import { Caution } from "../../ui/caution";
import { Field, Select } from "../../ui/field";
import { Fold } from "../../ui/fold";
import { complain } from "../../ui/toasts";
import type { Session } from "../../work/session";
import { Setting } from "./setting";
import "./calibration.css";

export function Calibration({ bench: { session } }: { bench: Bench }) {
  const prop = session.prop.value;
  const drive = session.drive.value ?? prop?.drives[0];

  return (
    <div class="stack">
      <h2>Calibration</h2>
      <Caution />
      <Field label="Drive">
        {(named) => (
          <Select
            {...named}
            options={prop?.drives.map(({ name }) => [name, name] as const) ?? []}
            value={drive?.name ?? ""}
            pick={(name) => {
              session.chooseDrive(name);
              session.history.settle();
            }}
          />
        )}
      </Field>
      {prop && drive && <DriveForm key={drive.name} session={session} prop={prop} drive={drive} />}
    </div>
  );
}

function DriveForm({ session, prop, drive }: { session: Session; prop: PropView; drive: DriveView }) {
  const under = (part: string): FieldView[] => drive.fields.filter(({ path }) => path.startsWith(`${drive.path}.${part}`));
  const pulse = under("pulse");
  const linkage = under("linkage");
  const rest = drive.fields.filter((each) => !pulse.includes(each) && !linkage.includes(each));
  const servo = prop.servos.find(({ name }) => name === drive.servo);
  const shared = prop.drives.filter((each) => each.servo === drive.servo).map(({ name }) => name);
  return (
    <div class="stack">
      <fieldset class="stack">
        <legend>End points and trim</legend>
        <Settings session={session} fields={pulse} />
        <Button words="Reverse: swap the end points" kind="plain" onClick={() => void reverse(session, drive).catch(complain)} />
      </fieldset>
      <Fold title={`Linkage: ${drive.linkage.replaceAll("_", " ")}`} open={linkage.length > 0}>
        <Settings session={session} fields={linkage} />
        {linkage.length > 0 && (
          <p class="quiet">
            Transmission angle: the angle at which a rod pushes its arm. At 90° all of its force turns the arm; below 45° much is lost, and
            below 30° it may jam. Mechanical advantage: how many times the servo's torque acts on the joint; what it gains in force it loses
            in travel.
          </p>
        )}
      </Fold>
      <Fold title="Patch and motion limits">
        <Settings session={session} fields={rest} />
      </Fold>
      <Fold title={`Servo: ${drive.servo}`}>
        <p class="quiet">{shared.length > 1 ? `Shared by ${shared.join(", ")}: a change acts on all of them.` : "Only this drive uses it."}</p>
        <Settings session={session} fields={servo?.fields ?? []} />
      </Fold>
    </div>
  );
}

interface SettingsProps {
  readonly session: Session;
  readonly fields: readonly FieldView[];
  /** The path to all of them, where it may change under the hand that types; they are told apart by the rest. */
  readonly within?: string;
}

export function Settings({ session, fields, within = "" }: SettingsProps) {
  return (
    <div class="settings">
      {fields.map((field) => (
        <Setting key={field.path.slice(within.length)} session={session} field={field} />
      ))}
    </div>
  );
}

async function reverse(session: Session, drive: DriveView): Promise<void> {
  const place = `${drive.path}.pulse`;
  const changes = { [`${place}.low`]: drive.pulse_high, [`${place}.high`]: drive.pulse_low };
  await session.change(`Reverse ${drive.name}`, "edit_all", { changes });
}
