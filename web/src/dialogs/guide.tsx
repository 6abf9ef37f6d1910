/** Guide: how the page is used, and what its words mean. */

import { type Signal, useSignal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { Caution } from "../ui/caution";
import { Dialog } from "../ui/dialog";
import { Fold } from "../ui/fold";
import { complain } from "../ui/toasts";
import angles from "./angles.svg";
import type { FirstProp } from "./first-prop/first-prop";
import type { GLOSSARY } from "./glossary";

export function GuideDialog({ open }: { open: Signal<boolean> }) {
  return (
    <Dialog title="Guide" open={open}>
      <Fold title="Your first prop, step by step">
        <Steps />
      </Fold>
      <Caution />
      <ul class="guide stack">
        <li class="for-mouse">Drag to turn the view, scroll to zoom, drag with the right button to move. Click a part to choose its joint.</li>
        <li class="for-touch">One finger turns the view, two zoom and move it. Tap a part to choose its joint.</li>
        <li class="for-mouse">By keyboard: arrow keys turn the view or step a value; plus and minus zoom; Home shows all; Ctrl+Z undoes.</li>
        <li>Your work is kept in this browser. Save the prop folder to keep it elsewhere.</li>
      </ul>
      <h3>How the angles of a linkage count</h3>
      <img class="guide__drawing" src={angles} alt={ANGLES} width="470" height="655" loading="lazy" />
      <h3>Glossary</h3>
      <Glossary />
    </Dialog>
  );
}

/** The words of the drawing, for those who do not see it. */
const ANGLES =
  "Four-bar: the ground runs along +x from the servo shaft to the joint axis. The crank's angle, shaft_zero plus the shaft's turn, and the rocker's angle, joint_zero plus the joint's position, both count from +x, counter-clockwise. Open and crossed are the two sides on which coupler and rocker can lie. Slider-crank: the crank's angle counts from +x, counter-clockwise, at shaft_zero plus the shaft's turn. The slide runs along +x at the height offset; joint_zero plus the joint's position is its way from the shaft along +x. All turns are counter-clockwise as seen with the axis towards you: the thumb of the right hand along the axis, the fingers curl the plus way.";

/** Fetched when the guide is first opened; its pictures when they come into sight. */
function Steps() {
  const found = useSignal<{ readonly Content: typeof FirstProp } | null>(null);
  useEffect(() => {
    import("./first-prop/first-prop").then(({ FirstProp: Content }) => (found.value = { Content }), complain);
  }, []);
  const Content = found.value?.Content;
  return Content ? <Content /> : null;
}

/** Fetched when it is first read. */
function Glossary() {
  const words = useSignal<typeof GLOSSARY>([]);
  useEffect(() => {
    import("./glossary").then((found) => (words.value = found.GLOSSARY)).catch(complain);
  }, []);
  return (
    <dl class="glossary">
      {words.value.map(([word, meaning]) => (
        <div key={word}>
          <dt>{word}</dt>
          <dd class="quiet">{meaning}</dd>
        </div>
      ))}
    </dl>
  );
}
