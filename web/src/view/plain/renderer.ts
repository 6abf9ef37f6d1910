/**
 * The picture where a browser gives no WebGL: the same room drawn by the processor, in plainer light and without shadows.
 */

import {
  type BufferGeometry, Color, type ColorRepresentation, DirectionalLight, HemisphereLight, Line, LineLoop, LineSegments, type Material, Matrix3, Matrix4, Mesh,
  type PerspectiveCamera, type Scene, ShaderMaterial, ShadowMaterial, Vector3, Vector4,
} from "three";
import { type Rgb, rgbOf, shade, type Sky } from "../sky";
import { type Corner, createRaster, type Raster, type Way } from "./raster";

export interface PlainRenderer {
  readonly domElement: HTMLCanvasElement;
  readonly sky: Sky;
  /** Whether the browser lets anything be drawn at all. */
  readonly shows: boolean;
  setPixelRatio(ratio: number): void;
  setSize(width: number, height: number): void;
  render(scene: Scene, camera: PerspectiveCamera): void;
}

export function createPlainRenderer(): PlainRenderer {
  const canvas = document.createElement("canvas");
  const raster = createRaster(canvas);
  let [ratio, width, height] = [1, 1, 1];
  let ends: readonly [top: Rgb, bottom: Rgb] = [[0, 0, 0], [0, 0, 0]];
  const fit = (): void => raster.size(width * ratio, height * ratio);

  return {
    domElement: canvas,
    shows: raster.shows,
    sky: { paint: (top, bottom) => void (ends = [rgbOf(new Color(top)), rgbOf(new Color(bottom))]), begin: () => undefined },
    setPixelRatio(next) {
      if (next === ratio) return;
      ratio = next;
      fit();
    },
    setSize(wide, tall) {
      [width, height] = [wide, tall];
      [canvas.style.width, canvas.style.height] = [`${wide}px`, `${tall}px`]; // its pixels may be fewer, or more
      fit();
    },
    render(scene, camera) {
      scene.updateMatrixWorld();
      camera.updateMatrixWorld();
      raster.clear((share) => shade(...ends, share));
      const seen: (Mesh | Line)[] = [];
      scene.traverseVisible((each) => void ((each instanceof Mesh || each instanceof Line) && seen.push(each)));
      const light = lightOf(scene);
      const eye = eyeOf(camera, canvas);
      // What is seen through comes last, and what nothing hides after that.
      const order = ({ material }: Mesh | Line): number => (plain(material).depthTest ? 0 : 2) + (plain(material).transparent ? 1 : 0);
      for (const each of seen.sort((one, other) => order(one) - order(other))) {
        if (each instanceof Mesh) drawMesh(raster, each as Mesh<BufferGeometry>, eye, light);
        else drawLine(raster, each, eye);
      }
      raster.show();
    },
  };
}

interface Eye {
  readonly clipFromWorld: Matrix4;
  readonly at: Vector3;
  readonly near: number;
  readonly wide: number;
  readonly tall: number;
}

function eyeOf(camera: PerspectiveCamera, { width, height }: HTMLCanvasElement): Eye {
  const clipFromWorld = new Matrix4().multiplyMatrices(camera.projectionMatrix, camera.matrixWorldInverse);
  return { clipFromWorld, at: new Vector3().setFromMatrixPosition(camera.matrixWorld), near: camera.near, wide: width, tall: height };
}

/** Linear colour that falls on a surface with this unit normal. */
type Light = (normal: Vector3, out: Color) => Color;

function lightOf(scene: Scene): Light {
  const [from, all, sky] = [new Vector3(), [] as { way: Vector3; colour: Color }[], [] as HemisphereLight[]];
  scene.traverseVisible((each) => {
    if (each instanceof HemisphereLight) sky.push(each);
    if (!(each instanceof DirectionalLight)) return;
    const way = from.setFromMatrixPosition(each.matrixWorld).clone().sub(new Vector3().setFromMatrixPosition(each.target.matrixWorld)).normalize();
    all.push({ way, colour: each.color.clone().multiplyScalar(each.intensity / Math.PI) }); // a matt surface sends back 1 / pi
  });
  const part = new Color();
  return (normal, out) => {
    out.setRGB(0, 0, 0);
    for (const { color, groundColor, intensity } of sky) out.add(part.copy(groundColor).lerp(color, (normal.y + 1) / 2).multiplyScalar(intensity / Math.PI));
    for (const { way, colour } of all) out.add(part.copy(colour).multiplyScalar(Math.max(normal.dot(way), 0)));
    return out;
  };
}

interface Paint extends Material {
  readonly color?: Color;
}

function plain(material: Material | readonly Material[]): Paint {
  return (Array.isArray(material) ? material[0] : material) as Paint;
}

function wayOf({ transparent, opacity, depthTest, depthWrite }: Material): Way {
  return { opacity: transparent ? opacity : 1, tests: depthTest, hides: depthWrite };
}

const encoded = new Color();

/** Colour of a corner, 0 to 255, as the screen takes it. */
function bytes(linear: Color): Rgb {
  const { r, g, b } = encoded.copy(linear).convertLinearToSRGB();
  return [Math.min(r * 255, 255), Math.min(g * 255, 255), Math.min(b * 255, 255)];
}

function drawMesh(raster: Raster, mesh: Mesh<BufferGeometry>, eye: Eye, light: Light): void {
  const material = plain(mesh.material);
  const [places, normals] = [mesh.geometry.getAttribute("position"), mesh.geometry.getAttribute("normal")];
  if (material instanceof ShadowMaterial || !places) return;
  const stroke = material instanceof ShaderMaterial ? material : null; // the outline of a part, pushed outwards on the screen
  const lit = !stroke && normals && !("isMeshBasicMaterial" in material);
  const base = stroke ? new Color(stroke.uniforms["colour"]?.value as ColorRepresentation) : (material.color ?? new Color());
  const painted = material.vertexColors ? mesh.geometry.getAttribute("color") : null;
  const clipFromMesh = new Matrix4().multiplyMatrices(eye.clipFromWorld, mesh.matrixWorld);
  const turn = new Matrix3().getNormalMatrix(mesh.matrixWorld);
  const [at, normal, fallen, colour] = [new Vector4(), new Vector3(), new Color(), new Color()];
  const toEye = new Vector3();
  const flat = bytes(base);

  const corners: (Corner | null)[] = Array.from({ length: places.count }, (_, index) => {
    at.set(places.getX(index), places.getY(index), places.getZ(index), 1).applyMatrix4(clipFromMesh);
    if (at.w < eye.near) return null;
    let [x, y] = [((at.x / at.w + 1) / 2) * eye.wide, ((1 - at.y / at.w) / 2) * eye.tall];
    const depth = at.z / at.w;
    if (normals) normal.fromBufferAttribute(normals, index).applyMatrix3(turn).normalize();
    if (stroke) {
      const away = at.set(normal.x, normal.y, normal.z, 0).applyMatrix4(eye.clipFromWorld);
      const far = ((stroke.uniforms["width"]?.value as number) * eye.tall) / 2 / (Math.hypot(away.x * eye.wide, away.y * eye.tall) || 1);
      [x, y] = [x + away.x * eye.wide * far, y - away.y * eye.tall * far];
    }
    if (!lit) return [x, y, depth, ...flat];
    toEye.set(places.getX(index), places.getY(index), places.getZ(index)).applyMatrix4(mesh.matrixWorld).sub(eye.at);
    if (material.side === DOUBLE && normal.dot(toEye) > 0) normal.negate();
    colour.copy(base);
    if (painted) colour.multiply(fallen.setRGB(painted.getX(index), painted.getY(index), painted.getZ(index)));
    return [x, y, depth, ...bytes(colour.multiply(light(normal, fallen)))];
  });

  const list = mesh.geometry.getIndex();
  const corner = (index: number): Corner | null | undefined => corners[list ? list.getX(index) : index];
  const way = wayOf(material);
  const facing = mesh.matrixWorld.determinant() < 0 ? -1 : 1;
  for (let index = 0, count = (list ?? places).count; index + 2 < count; index += 3) {
    const [a, b, c] = [corner(index), corner(index + 1), corner(index + 2)];
    if (!a || !b || !c) continue; // it reaches behind the eye
    const area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    const front = area * facing < 0; // y goes downwards
    if (material.side !== DOUBLE && front !== (material.side === FRONT)) continue;
    raster.triangle(a, b, c, way);
  }
}

const [FRONT, DOUBLE] = [0, 2]; // sides of a material, as three counts them

function drawLine(raster: Raster, line: Line, eye: Eye): void {
  const material = plain(line.material);
  const places = line.geometry.getAttribute("position");
  if (!places) return; // there is nothing to show now
  const clipFromLine = new Matrix4().multiplyMatrices(eye.clipFromWorld, line.matrixWorld);
  const colour = bytes(material.color ?? new Color());
  const way = { ...wayOf(material), hides: false };
  const pairs = line instanceof LineSegments ? 2 : 1;
  const last = line instanceof LineLoop ? places.count : places.count - 1;
  const [from, to] = [new Vector4(), new Vector4()];
  for (let index = 0; index < last; index += pairs) {
    place(places, index, from).applyMatrix4(clipFromLine);
    place(places, (index + 1) % places.count, to).applyMatrix4(clipFromLine);
    if (from.w < eye.near && to.w < eye.near) continue;
    // Cut off what is behind the eye.
    if (from.w < eye.near) from.lerp(to, (eye.near - from.w) / (to.w - from.w));
    if (to.w < eye.near) to.lerp(from, (eye.near - to.w) / (from.w - to.w));
    raster.line(onScreen(from, eye, colour), onScreen(to, eye, colour), way);
  }
}

function place(places: ReturnType<BufferGeometry["getAttribute"]>, index: number, out: Vector4): Vector4 {
  return out.set(places.getX(index), places.getY(index), places.getZ(index), 1);
}

function onScreen({ x, y, z, w }: Vector4, { wide, tall }: Eye, colour: Rgb): Corner {
  return [((x / w + 1) / 2) * wide, ((1 - y / w) / 2) * tall, z / w, ...colour];
}
