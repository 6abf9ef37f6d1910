/** The joint turned by hand, whatever its drive and its stops; they are set where it stands. */

import type { PlacedJoint } from "../../engine/protocol";
import { apart } from "../../ui/apart";
import { Button } from "../../ui/button";
import { Field } from "../../ui/field";
import { Numeral } from "../../ui/numeral";
import { Slider } from "../../ui/slider";
import { askAll, takenAlways } from "../../ui/typed-number";
import { unitText } from "../../ui/units";
import type { Jointer } from "./jointer";

export function Turn({ jointer, joint }: { jointer: Jointer; joint: PlacedJoint }) {
  const trial = jointer.trial.value;
  const at = trial?.joint === joint.name ? trial : null;
  if (joint.type === "fixed") return <p class="quiet">It is fixed. Let it turn or slide first: above, or by finding its axis.</p>;
  const [low, high] = joint.free;
  const text = at?.text ?? (joint.unit === "deg" ? "0.0°" : "0.0 mm");
  const unit = unitText(joint.unit);
  const set = (which: "low" | "high") => ({ currentTarget }: { currentTarget: HTMLElement }): void => {
    const form = currentTarget.closest<HTMLElement>("[data-turn]");
    void jointer.asked(async () => {
      if (form) askAll(form);
      await jointer.stop(which);
    });
  };
  return (
    <div class="stack" data-turn>
      <p class="quiet">Drag a part in the picture, or the slider. It moves freely, past its stops too; nothing is changed by it.</p>
      <Field label={`Position of ${apart(joint.name)}, ${unit}`}>
        {(named) => (
          <div class="track">
            <Slider
              {...named}
              min={low}
              max={high}
              step={0.5}
              value={jointer.aimed.value ?? at?.position ?? 0}
              aria-valuetext={text}
              slide={(to) => void jointer.turn(to)}
            />
          </div>
        )}
      </Field>
      <div class="row">
        <Numeral
          aria-label={`position of ${joint.name}, ${unit}`}
          always
          value={String(at?.position ?? 0)}
          commit={takenAlways((number) => void jointer.turn(number))}
        />
        <output class="number">{text}</output>
        <Button words="Back to 0" onClick={() => void jointer.turn(0)} />
      </div>
      <div class="row">
        <Button words="Low stop here" data-stop="low" onClick={set("low")} />
        <Button words="High stop here" data-stop="high" onClick={set("high")} />
        {joint.stops && <Button words="No stops" kind="plain" onClick={() => void jointer.dropStops()} />}
      </div>
    </div>
  );
}
