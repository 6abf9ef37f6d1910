/** One drive: its slider, its number, and what they come to. */

import { type ReadonlySignal, useComputed, useSignal } from "@preact/signals";
import type { DriveView, FindingView, JointView, PropView } from "../../engine/protocol";
import { Typed } from "../../ui/field";
import { Findings, type Told } from "../../ui/finding";
import { Slider } from "../../ui/slider";
import { complain } from "../../ui/toasts";
import { positionText, type Unit } from "../../ui/units";
import type { Session } from "../../work/session";

interface ChannelProps {
  readonly session: Session;
  readonly prop: PropView;
  readonly drive: DriveView;
  readonly index: number;
  readonly unit: ReadonlySignal<Unit>;
}

const NONE: readonly FindingView[] = [];

export function Channel({ session, prop, drive, index, unit }: ChannelProps) {
  const notice = useSignal<string | null>(null); // what became of the number that was typed last
  const id = `channel-${drive.name}`;
  const joint = prop.joints.find(({ name }) => name === drive.joint);
  const at = prop.joints.findIndex(({ name }) => name === drive.joint);

  // Each by itself, so that of all rows those are drawn anew that read otherwise than before. After every change of the
  // prop there is another pose, too.
  const { record } = session.history;
  const value = useComputed(() => record.value.work.values[drive.name]).value ?? drive.rest;
  const pulse = useComputed(() => session.pose.value?.pulses_us[index]?.toFixed(0) ?? null).value;
  const position = useComputed(() => (session.pose.value && joint ? positionText(session.pose.value.joints[at] ?? NaN, joint.unit) : "")).value;
  const own = useComputed(() => {
    const found = session.pose.value?.findings.filter((finding) => finding.drive === drive.name) ?? NONE;
    return found.length > 0 ? found : NONE;
  }).value;
  // As it is, a value needs no Python; another unit is a moment behind.
  const other = useComputed(() => (unit.value === "value" ? null : (session.pose.value?.texts[unit.value]?.[index] ?? ""))).value;
  const text = other ?? String(value);

  const now = (): number => session.values()[drive.name] ?? drive.rest;
  const move = (to: number): void => session.setValue(drive.name, to, `value ${drive.name}`);
  const choose = (): void => session.chooseDrive(drive.name);

  function step(event: KeyboardEvent): boolean {
    const count = steps(event);
    if (count === null) return false;
    notice.value = null;
    move(Math.min(Math.max(now() + count * (drive.steps[unit.value] ?? 1), 0), drive.full_scale));
    return true;
  }

  async function take(typed: string): Promise<void> {
    const stopped = session.progress.peek().stage === "stopped";
    notice.value = stopped ? `“${typed}” is not set yet: Python has stopped. It is set once Python runs again.` : null;
    await session.typeValue(drive.name, typed, unit.value).then((told) => (notice.value = told), complain);
  }

  return (
    <li class={session.chosen.value !== null && session.drive.value?.name === drive.name ? "channel channel--chosen" : "channel"} data-drive={drive.name}>
      <div class="channel__head">
        <label for={id} class="channel__name">{drive.name}</label>
        <span class="quiet">{drive.patch}</span>
      </div>
      <div class="track">
        <Slider
          id={id}
          min={0}
          max={drive.full_scale}
          step={1}
          value={value}
          aria-describedby={`${id}-told`}
          aria-valuetext={other === null ? text : `${text} ${unit.value}`}
          onFocus={choose}
          slide={(to) => {
            notice.value = null;
            move(to);
          }}
          settled={() => session.history.settle()}
          onKeyDown={(event) => step(event) && event.preventDefault()}
        />
        {joint && <Blocked drive={drive} />}
      </div>
      <Typed
        inputMode="decimal"
        class="input--number"
        id={`${id}-number`}
        aria-label={`${drive.name}, value`}
        aria-invalid={notice.value !== null}
        value={text}
        commit={(typed) => void take(typed)}
        keyed={(event) => !isSideways(event) && step(event)} // sideways the caret moves
        onFocus={choose}
      />
      <div class="channel__reads">
        <End drive={drive} which={0} joint={joint} />
        <span class="channel__now">
          <output class="number channel__figure" for={id}>{pulse === null ? "" : `${pulse} µs`}</output>
          {drive.joint === drive.name ? " " : ` ${drive.joint} `}
          <output class="number" for={id}>{position}</output>
        </span>
        <End drive={drive} which={1} joint={joint} />
      </div>
      <div id={`${id}-told`} class="channel__told">
        <Findings findings={notice.value ? [told(notice.value), ...own] : own} where={false} />
      </div>
    </li>
  );
}

function told(notice: string): Told {
  return { level: "warning", text: notice, alone: notice };
}

function steps(event: KeyboardEvent): number | null {
  const big = event.shiftKey ? 10 : 1;
  const made: Record<string, number> = { ArrowUp: big, ArrowRight: big, ArrowDown: -big, ArrowLeft: -big, PageUp: 10, PageDown: -10 };
  return made[event.key] ?? null;
}

function isSideways(event: KeyboardEvent): boolean {
  return event.key === "ArrowLeft" || event.key === "ArrowRight";
}

/** The end point at one end of the slider: its pulse, and where it takes the joint. */
function End({ drive, which, joint }: { drive: DriveView; which: 0 | 1; joint: JointView | undefined }) {
  return (
    <span class="quiet number" title="end point">
      {which === 0 ? "at 0: " : "at full: "}
      <span class="channel__figure">{which === 0 ? drive.pulse_low : drive.pulse_high} µs</span> <br />
      {joint ? positionText(drive.joint_at_end_points[which], joint.unit) : ""}
    </span>
  );
}

/** A hatch over the values that push against a hard stop. */
function Blocked({ drive }: { drive: DriveView }) {
  return (
    <div class="marks" aria-hidden="true">
      {drive.blocked.map(([from, to]) => (
        <span key={from} class="marks__blocked" title="past a hard stop" style={{ insetInlineStart: `${from * 100}%`, insetInlineEnd: `${(1 - to) * 100}%` }} />
      ))}
    </div>
  );
}
