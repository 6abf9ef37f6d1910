/** The lit room: renderer, camera, light, orbit. The frame is that of glTF: metres, +Y up. */

import {
  Box3,
  DirectionalLight,
  HemisphereLight,
  PerspectiveCamera,
  type Ray,
  Raycaster,
  Scene,
  Sphere,
  Vector2,
  Vector3,
  type WebGLRenderer,
} from "three";
import { OrbitControls } from "three/addons/controls/OrbitControls.js";
import { angle, ANGLE_DEG, distance, type Size, sizeOf } from "./fitting";
import { createGround, type Ground } from "./ground";
import { type ReadonlySignal, signal } from "@preact/signals";
import { createLabels, type Labels } from "./labels";
import { watchOver } from "./over";
import { createPace } from "./pace";
import { createPlainRenderer, type PlainRenderer } from "./plain/renderer";
import { createWebGL } from "./graphics";
import { createBandedSky, createSky } from "./sky";
import { stillStands } from "./still/stands";

/** What draws: the graphics by WebGL, the processor where there is none, nothing while the browser lets nothing be drawn. */
export type DrawnBy = "card" | "processor" | "nothing";

const RESTS_M = 1e-4; // a frame: a turn so slow is at rest

export interface Stage {
  readonly drawnBy: ReadonlySignal<DrawnBy>;
  readonly scene: Scene;
  readonly camera: PerspectiveCamera;
  readonly orbit: OrbitControls;
  readonly canvas: HTMLCanvasElement;
  readonly labels: Labels;
  /** Draw soon; many calls before the next frame are one drawing. */
  draw(): void;
  /** Parts stand elsewhere: draw, and where a picture gives way do not even wait for the frame that is to show it. */
  drawMoved(): void;
  /** Fit light, ground and camera to a figure of this size. */
  frame(bounds: Box3, camera: "move" | "keep"): void;
  /** Look at a point from `distance` m away, the direction of view kept. */
  lookAt(point: Vector3, distance: number): void;
  /** What is in view now, drawn this instant. */
  picture(): HTMLCanvasElement;
  /** Hears whether what it draws is to give way to what moves, by fewer triangles and plainer light. */
  onGivingWay(hear: (gives: boolean) => void): void;
  /** Another figure comes, which may be quicker or slower to draw; nothing gives way until it is drawn. */
  another(): void;
  /** Stay fine whatever moves, as for a film, whose pictures have one size. */
  steady(on: boolean): void;
  /** Whether it draws nothing yet, because the still stands for the picture; `begin` ends that. */
  waits(): boolean;
  begin(): void;
}

const LEAST_DISTANCE = 0.04;
const MOST_RATIO = 2; // pixels of the picture to one of the page, along a side
const FINER = 1.5; // times as many where each has but one sample: edges are as smooth, and it takes less than four samples

export function createStage(holder: HTMLElement): Stage {
  const { webgl, byProgram } = createWebGL();
  if (byProgram) document.documentElement.dataset["graphics"] = "program"; // what lies over the picture has layers then
  const plain = webgl ? null : createPlainRenderer();
  const renderer = (webgl ?? plain) as WebGLRenderer | PlainRenderer;
  const canvas = renderer.domElement;
  const drawnBy = signal<DrawnBy>(webgl ? "card" : plain?.shows ? "processor" : "nothing");
  canvas.tabIndex = 0;
  canvas.setAttribute("role", "img");
  canvas.setAttribute(
    "aria-label",
    "The figure in 3D. Arrow keys turn the view, plus and minus move nearer and away, Home shows all.",
  );
  holder.append(canvas);

  const scene = new Scene();
  const camera = new PerspectiveCamera(ANGLE_DEG, 1, 0.005, 20);
  const labels = createLabels(holder);
  const over = watchOver(holder, placeLabels);
  const sky = plain?.sky ?? (webgl && byProgram ? createBandedSky(webgl) : createSky(scene));
  const { sun, fill } = createLights(scene);
  const ground: Ground = createGround();
  scene.add(ground.object);

  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  const orbit = new OrbitControls(camera, canvas);
  orbit.enableDamping = !calm.matches;
  orbit.maxPolarAngle = Math.PI * 0.92;
  orbit.minDistance = LEAST_DISTANCE;

  let fitted: Box3 | null = null; // what the camera was fitted to, until someone moves it
  let size: Size = { tall: 1, across: 1 }; // of what it was fitted to last
  orbit.addEventListener("start", () => (fitted = null));

  const hearers: ((gives: boolean) => void)[] = [];
  const finest = (): number => Math.min(devicePixelRatio * (byProgram ? FINER : 1), MOST_RATIO);
  const pace = createPace((webgl?.getContext() ?? null) as WebGL2RenderingContext | null, byProgram, giveWay, draw);

  function giveWay(share: number | null): void {
    renderer.setPixelRatio(share === null ? finest() : share * Math.min(devicePixelRatio, 1));
    sun.castShadow = share === null;
    ground.shade(share === null);
    for (const hear of hearers) hear(share !== null);
  }

  // A program would draw with the processor that Python needs to start, what the still shows as well.
  let waits = byProgram && stillStands();
  let asked = 0;
  function draw(): void {
    pace.asked();
    if (!waits) asked ||= requestAnimationFrame(drawNow);
  }

  function drawNow(): void {
    asked = 0;
    swing();
    pace.begin();
    render();
    pace.drawn();
  }

  const stood = new Vector3();
  /** A turn that was let go of swings on, and comes to rest: what were left of it would move some later picture. */
  function swing(): void {
    stood.copy(camera.position);
    orbit.update();
    const moved = stood.distanceTo(camera.position);
    if (moved > RESTS_M) return draw(); // it tells of a change from a millimetre on only
    orbit.enableDamping = false;
    orbit.update();
    orbit.enableDamping = !calm.matches;
  }

  let ahead = false; // of the frame that comes, which finds its picture done
  function drawMoved(): void {
    if (waits || ahead || document.hidden || !pace.gives()) return draw();
    cancelAnimationFrame(asked); // what else asked for a picture is in this one
    ahead = true;
    requestAnimationFrame(() => (ahead = false));
    drawNow();
  }

  function render(): void {
    sky.begin();
    renderer.render(scene, camera);
    placeLabels();
  }

  function placeLabels(): void {
    labels.place(camera, canvas.clientWidth, canvas.clientHeight, over());
  }
  orbit.addEventListener("change", draw);

  // A driver may fall, or a machine sleep: the browser takes all that the card held, and gives it back when it can.
  canvas.addEventListener("webglcontextlost", () => {
    drawnBy.value = "nothing";
    canvas.style.opacity = "0"; // or the browser shows a sign of its own, on white
  });
  canvas.addEventListener("webglcontextrestored", () => {
    drawnBy.value = "card";
    canvas.style.opacity = "";
    pace.forget();
    paint();
  });

  new ResizeObserver(() => {
    const { clientWidth: width, clientHeight: height } = holder;
    if (!width || !height) return;
    pace.fine();
    renderer.setPixelRatio(finest());
    renderer.setSize(width, height);
    camera.aspect = width / height;
    camera.fov = angle(size, camera.aspect);
    camera.updateProjectionMatrix();
    if (fitted) frame(fitted, "move");
    if (!waits) render(); // at once: a canvas of another size is empty until it is drawn on
  }).observe(holder);

  function paint(): void {
    sky.paint(shownColour("--sky"), shownColour("--sky-low"));
    ground.paint(shownColour("--line-strong"));
    draw();
  }
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", paint);
  new MutationObserver(paint).observe(document.documentElement, { attributeFilter: ["data-theme"] });
  paint();

  function frame(bounds: Box3, move: "move" | "keep"): void {
    const ball = bounds.getBoundingSphere(new Sphere());
    const radius = Math.max(ball.radius, LEAST_DISTANCE);
    sun.position.copy(ball.center).add(new Vector3(0.7, 1.6, 0.9).multiplyScalar(radius * 2));
    sun.target.position.copy(ball.center);
    const box = sun.shadow.camera;
    [box.left, box.right, box.top, box.bottom] = [-1.6, 1.6, 1.6, -1.6].map((side) => side * radius) as Four;
    [box.near, box.far] = [radius * 0.5, radius * 8];
    box.updateProjectionMatrix();
    fill.position.copy(ball.center).add(new Vector3(-1, 0.5, 1.5).multiplyScalar(radius * 2));
    fill.target.position.copy(ball.center);
    ground.fit(bounds, labels);
    orbit.maxDistance = radius * 20;
    camera.far = radius * 60;
    camera.near = radius / 100;
    if (move === "move") {
      fitted = bounds;
      size = sizeOf(bounds);
      camera.fov = angle(size, camera.aspect);
      orbit.target.copy(ball.center);
      camera.position.copy(ball.center).add(new Vector3(0.9, 0.36, 0.66).setLength(distance(size)));
    }
    camera.updateProjectionMatrix();
    orbit.update(); // or the next frame would find that the camera has moved, and ask for one more
    draw();
  }

  return {
    drawnBy,
    scene,
    camera,
    orbit,
    canvas,
    labels,
    draw,
    drawMoved,
    frame,
    lookAt(point, distance) {
      fitted = null;
      const away = camera.position.clone().sub(orbit.target).setLength(Math.max(distance, LEAST_DISTANCE));
      orbit.target.copy(point);
      camera.position.copy(point).add(away);
      draw();
    },
    picture() {
      pace.fine();
      render();
      return canvas;
    },
    onGivingWay: (hear) => void hearers.push(hear),
    another() {
      pace.fine();
      pace.forget();
    },
    steady(on) {
      pace.steady(on);
      draw();
    },
    waits: () => waits,
    begin() {
      waits = false;
      draw();
    },
  };
}

/** The ray from the eye through where a pointer is. */
export function rayTo({ canvas, camera }: Stage, event: PointerEvent): Ray {
  const box = canvas.getBoundingClientRect();
  const x = ((event.clientX - box.left) / box.width) * 2 - 1;
  const y = 1 - ((event.clientY - box.top) / box.height) * 2;
  const caster = new Raycaster();
  caster.setFromCamera(new Vector2(x, y), camera);
  return caster.ray;
}

type Four = [number, number, number, number];

/** A colour of the design as it is now, in light or dark. */
export function shownColour(name: `--${string}`): string {
  // A custom property keeps light-dark() unresolved; a real colour does not.
  const probe = document.createElement("i");
  probe.style.color = `var(${name})`;
  document.body.append(probe);
  const colour = getComputedStyle(probe).color;
  probe.remove();
  return colour;
}

function createLights(scene: Scene): { sun: DirectionalLight; fill: DirectionalLight } {
  const sun = new DirectionalLight(0xfff4e2, 2.6);
  sun.castShadow = true;
  sun.shadow.mapSize.set(1024, 1024);
  sun.shadow.normalBias = 0.001;
  sun.shadow.bias = -0.0005;
  const fill = new DirectionalLight(0xcfe0f0, 0.7);
  scene.add(new HemisphereLight(0xf4f6f8, 0x8a8378, 1.5), sun, sun.target, fill, fill.target);
  return { sun, fill };
}
