/** The room behind the figure, from top to bottom. */

import { CanvasTexture, Color, type Scene, SRGBColorSpace, Vector4, type WebGLRenderer } from "three";

export interface Sky {
  paint(top: string, bottom: string): void;
  /** Before each picture. */
  begin(): void;
}

const FROM = 0.25; // above it the top's colour stands alone

/** As a texture behind the scene, which costs a graphics card nothing. */
export function createSky(scene: Scene): Sky {
  return {
    paint: (top, bottom) => void (scene.background = texture(top, bottom)),
    begin: () => undefined,
  };
}

function texture(top: string, bottom: string): CanvasTexture {
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [1, 128];
  const pen = canvas.getContext("2d");
  const fill = pen?.createLinearGradient(0, 0, 0, canvas.height);
  fill?.addColorStop(FROM, top);
  fill?.addColorStop(1, bottom);
  if (pen && fill) pen.fillStyle = fill;
  pen?.fillRect(0, 0, 1, canvas.height);
  const made = new CanvasTexture(canvas);
  made.colorSpace = SRGBColorSpace;
  return made;
}

/**
 * As bands of one colour each. A program that draws takes longer for a texture behind everything than for the figure,
 * and next to nothing to fill rows; with a band for each of the few colours between top and bottom it looks the same.
 */
export function createBandedSky(renderer: WebGLRenderer): Sky {
  const gl = renderer.getContext();
  const at = new Vector4();
  let ends: readonly [Color, Color] = [new Color(), new Color()];
  let of = 0; // rows of the picture that `all` is for
  let all: readonly Band[] = [];
  renderer.autoClear = false;

  return {
    paint(top, bottom) {
      ends = [new Color(top), new Color(bottom)];
      of = 0;
    },
    begin() {
      const { drawingBufferWidth: wide, drawingBufferHeight: tall } = gl;
      if (of !== tall) [of, all] = [tall, bands(...ends, tall)];
      const { state } = renderer;
      state.buffers.depth.setMask(true);
      state.buffers.color.setMask(true);
      state.setScissorTest(true);
      for (const { rgb, from, to } of all) {
        state.scissor(at.set(0, tall - to, wide, to - from));
        const [red, green, blue] = rgb;
        state.buffers.color.setClear(red / 255, green / 255, blue / 255, 1, false);
        gl.clear(gl.COLOR_BUFFER_BIT);
      }
      state.setScissorTest(false);
      gl.clear(gl.DEPTH_BUFFER_BIT);
    },
  };
}

export type Rgb = readonly [number, number, number];

interface Band {
  readonly rgb: Rgb;
  /** Rows from the top. */
  readonly from: number;
  readonly to: number;
}

function bands(top: Color, bottom: Color, tall: number): Band[] {
  const ends = [rgbOf(top), rgbOf(bottom)] as const;
  const made: { rgb: Rgb; from: number; to: number }[] = [];
  for (let row = 0; row < tall; row += 1) {
    const rgb = shade(...ends, (row + 0.5) / tall);
    const last = made.at(-1);
    if (last && last.rgb.every((value, each) => value === rgb[each])) last.to = row + 1;
    else made.push({ rgb, from: row, to: row + 1 });
  }
  return made;
}

/** The colour at a share of the height, from the top. */
export function shade(top: Rgb, bottom: Rgb, at: number): Rgb {
  const share = Math.max((at - FROM) / (1 - FROM), 0);
  return top.map((value, each) => Math.round(value + ((bottom[each] ?? value) - value) * share)) as unknown as Rgb;
}

export function rgbOf(colour: Color): Rgb {
  const hex = colour.getHex(SRGBColorSpace);
  return [hex >> 16, (hex >> 8) & 255, hex & 255];
}
