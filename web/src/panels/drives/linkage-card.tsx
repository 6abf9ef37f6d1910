/** The linkage of a drive in numbers: what it does, which follows a pull in the picture, and its keys to be typed. */

import { useSignal, useSignalEffect } from "@preact/signals";
import type { Bench } from "../../bench";
import type { DriveView, FiguresView } from "../../engine/protocol";
import { Toggle } from "../../ui/button";
import { Findings } from "../../ui/finding";
import { short } from "../../ui/numbers";
import { complainUnasked } from "../../ui/toasts";
import { positionText } from "../../ui/units";
import { Settings } from "../calibration/calibration";

export function LinkageCard({ bench: { session, linkages }, drive }: { bench: Bench; drive: DriveView }) {
  const found = useSignal<FiguresView | null>(null);
  useSignalEffect(() => {
    if (!session.prop.value?.drives.some(({ name }) => name === drive.name)) return;
    linkages.figures(drive.name).then((figures) => (found.value = figures), complainUnasked);
  });
  const pulled = linkages.pulled.value;
  const here = pulled?.grip.drive === drive.name ? pulled : null;
  const figures = here?.view.figures ?? found.value;
  const beside = linkages.views.value.find((each) => each.drive === drive.name)?.beside;
  const fields = drive.fields.filter(({ path }) => path.startsWith(`${drive.path}.linkage`));
  return (
    <fieldset class="stack">
      <legend>Linkage: {drive.linkage.replaceAll("_", " ")}</legend>
      <div class="row">
        <Toggle icon="linkage" words="Show linkages in the picture" on={linkages.drawn} />
      </div>
      {linkages.drawn.value && beside && <p class="caution caution--plain">It is {beside}.</p>}
      {linkages.drawn.value && <p class="quiet">Drag its balls and pivots in the picture; what follows stands here.</p>}
      {figures && <Figures figures={figures} />}
      {here && here.view.refused.length > 0 && <Findings findings={here.view.refused} />}
      <Settings session={session} fields={fields} />
    </fieldset>
  );
}

function Figures({ figures: { unit, joint, reach, dead_points_deg, transmission_deg, advantage, turns, findings } }: { figures: FiguresView }) {
  const [first, last] = dead_points_deg;
  const [least, most] = advantage;
  const force = unit === "mm" ? " N for each N·m" : " ×";
  const rows: readonly (readonly [string, string])[] = [
    [`Reach of ${joint}`, `${positionText(reach[0], unit)} to ${positionText(reach[1], unit)}`],
    ["Dead points, at the shaft", first === null && last === null ? "none" : `${degrees(first)} and ${degrees(last)}`],
    ["Least transmission angle", transmission_deg === null ? "no rod" : positionText(transmission_deg, "deg")],
    ["Torque on the joint", least === null ? "–" : `${short(least)} to ${most === null ? "∞" : short(most)}${force}`],
    ...(turns ? [["As it turns", turns] as const] : []),
  ];
  return (
    <>
      <dl class="readings" aria-label={`What the linkage of ${joint} does`}>
        {rows.map(([name, text]) => (
          <div key={name}>
            <dt>{name}</dt>
            <dd class="number">{text}</dd>
          </div>
        ))}
      </dl>
      <Findings findings={findings} where={false} />
    </>
  );
}

function degrees(angle: number | null): string {
  return angle === null ? "none" : positionText(angle, "deg");
}
