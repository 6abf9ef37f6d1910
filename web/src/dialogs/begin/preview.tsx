/** A small picture of a figure that is on no bench. */

import { useEffect, useRef } from "preact/hooks";
import { HemisphereLight, DirectionalLight, PerspectiveCamera, Scene, Sphere, Vector3, WebGLRenderer } from "three";
import { loadFigure } from "../../view/figure";

const FROM = new Vector3(0.75, 0.45, 1).normalize(); // from the front, its left side and above
const ROOM = 1.15; // about the figure
const ANGLE = 30; // of view, degrees

export function Preview({ glb, label }: { glb: Uint8Array<ArrayBuffer>; label: string }) {
  const canvas = useRef<HTMLCanvasElement>(null);
  useEffect(() => {
    let gone = false;
    if (canvas.current) void draw(canvas.current, glb, () => gone).catch(() => undefined); // sizes and names stand beside it
    return () => void (gone = true);
  }, [glb]);
  return <canvas ref={canvas} class="begin__picture" role="img" aria-label={label} width={640} height={480} />;
}

/** Draw it once; the renderer is let go of again, because a browser has few of them. */
async function draw(canvas: HTMLCanvasElement, glb: Uint8Array<ArrayBuffer>, gone: () => boolean): Promise<void> {
  const figure = await loadFigure(glb.slice().buffer);
  if (gone()) return figure.dispose();
  const scene = new Scene();
  const sun = new DirectionalLight("#ffffff", 2.2);
  sun.position.set(1, 2, 1.5);
  scene.add(new HemisphereLight("#ffffff", "#8a8578", 1.6), sun, figure.object);
  const ball = figure.bounds().getBoundingSphere(new Sphere());
  const camera = new PerspectiveCamera(ANGLE, canvas.width / canvas.height, ball.radius / 100, ball.radius * 100);
  const away = (ROOM * ball.radius) / Math.sin((ANGLE / 2) * (Math.PI / 180));
  camera.position.copy(ball.center).addScaledVector(FROM, away);
  camera.lookAt(ball.center);
  const drawn = document.createElement("canvas");
  const renderer = new WebGLRenderer({ canvas: drawn, antialias: true, alpha: true, preserveDrawingBuffer: true });
  renderer.setSize(canvas.width, canvas.height, false);
  renderer.render(scene, camera);
  const flat = canvas.getContext("2d");
  flat?.clearRect(0, 0, canvas.width, canvas.height);
  flat?.drawImage(drawn, 0, 0);
  renderer.dispose();
  renderer.forceContextLoss();
  figure.dispose();
}
