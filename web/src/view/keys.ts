/** The view by keyboard: arrows turn it, plus and minus move nearer and away, Home shows all. */

import { Spherical, type Vector3 } from "three";
import type { Stage } from "./stage";

const TURN = Math.PI / 36;
const NEARER = 0.9;

export function listenToKeys(stage: Stage, home: () => void): void {
  const { canvas, camera, orbit } = stage;

  function move(change: (away: Spherical) => void): void {
    const offset: Vector3 = camera.position.clone().sub(orbit.target);
    const away = new Spherical().setFromVector3(offset);
    change(away);
    away.phi = Math.min(Math.max(away.phi, orbit.minPolarAngle + 0.01), orbit.maxPolarAngle);
    away.radius = Math.min(Math.max(away.radius, orbit.minDistance), orbit.maxDistance);
    camera.position.setFromSpherical(away).add(orbit.target);
    orbit.dispatchEvent({ type: "start" }); // as if by hand: the view is no longer fitted to the figure
    stage.draw();
  }

  const moves: Record<string, (step: number) => void> = {
    ArrowLeft: (step) => move((away) => (away.theta -= step)),
    ArrowRight: (step) => move((away) => (away.theta += step)),
    ArrowUp: (step) => move((away) => (away.phi -= step)),
    ArrowDown: (step) => move((away) => (away.phi += step)),
    "+": () => move((away) => (away.radius *= NEARER)),
    "=": () => move((away) => (away.radius *= NEARER)),
    "-": () => move((away) => (away.radius /= NEARER)),
    Home: home,
  };

  canvas.addEventListener("keydown", (event) => {
    const made = moves[event.key];
    if (!made || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    made(event.shiftKey ? TURN * 4 : TURN);
  });
}
