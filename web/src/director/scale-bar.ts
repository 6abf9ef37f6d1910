/** The size bar: how long so many millimetres look, where the view turns about. */

import type { Stage } from "../view/stage";

const MM = 0.001;
const WIDEST_PX = 150;
const ROUND = [1, 2, 5];

/** Keeps the bar right whenever the view moves. */
export function showScale(stage: Stage, bar: HTMLElement, words: HTMLElement): void {
  function fit(): void {
    const { camera, orbit, canvas } = stage;
    const away = camera.position.distanceTo(orbit.target);
    const high = 2 * away * Math.tan((camera.fov * Math.PI) / 360);
    const mmPerPx = high / MM / Math.max(canvas.clientHeight, 1);
    const most = WIDEST_PX * mmPerPx;
    const ten = 10 ** Math.floor(Math.log10(most));
    const length = Math.max(...ROUND.map((each) => each * ten).filter((each) => each <= most));
    bar.style.inlineSize = `${(length / mmPerPx).toFixed(1)}px`;
    words.textContent = length >= 1000 ? `${length / 1000} m` : `${length} mm`;
  }
  stage.orbit.addEventListener("change", fit);
  new ResizeObserver(fit).observe(stage.canvas);
  fit();
}
