/** Triangles and lines as pixels, the nearest seen. Places are in pixels with y downwards; of depths the smaller is nearer. */

/** A corner as it is seen: place, depth and colour (0 to 255, encoded). */
export type Corner = readonly [x: number, y: number, depth: number, red: number, green: number, blue: number];

/** How what is drawn meets what is there already. */
export interface Way {
  /** 1 covers it. */
  readonly opacity: number;
  /** Whether it may be hidden by what is nearer, and hide what is not. */
  readonly tests: boolean;
  readonly hides: boolean;
}

export interface Raster {
  /** Whether there is a canvas to show it on. */
  readonly shows: boolean;
  size(width: number, height: number): void;
  /** Begin anew, with a colour for each row. */
  clear(row: (y: number) => readonly [number, number, number]): void;
  triangle(a: Corner, b: Corner, c: Corner, way: Way): void;
  line(a: Corner, b: Corner, way: Way): void;
  /** Put what was drawn on the canvas. */
  show(): void;
}

const IN_FRONT = 2e-5; // of the depth: what lies on a surface, as the grid on the ground, is seen

export function createRaster(canvas: HTMLCanvasElement): Raster {
  const pen = canvas.getContext("2d", { alpha: false });
  let [wide, tall] = [0, 0];
  let image = new ImageData(1, 1);
  let depths = new Float32Array(1);

  function put(at: number, depth: number, red: number, green: number, blue: number, { opacity, tests, hides }: Way): void {
    if (tests && depth >= (depths[at] as number)) return;
    if (hides) depths[at] = depth;
    const { data } = image;
    const first = at * 4;
    const under = 1 - opacity;
    data[first] = red * opacity + (data[first] as number) * under;
    data[first + 1] = green * opacity + (data[first + 1] as number) * under;
    data[first + 2] = blue * opacity + (data[first + 2] as number) * under;
  }

  return {
    shows: pen !== null,

    size(width, height) {
      [wide, tall] = [canvas.width, canvas.height] = [Math.max(Math.floor(width), 1), Math.max(Math.floor(height), 1)];
      image = new ImageData(wide, tall);
      depths = new Float32Array(wide * tall);
    },

    clear(row) {
      depths.fill(Infinity);
      const pixels = new Uint32Array(image.data.buffer);
      for (let y = 0; y < tall; y += 1) {
        const [red, green, blue] = row((y + 0.5) / tall);
        pixels.fill(((255 << 24) | (blue << 16) | (green << 8) | red) >>> 0, y * wide, (y + 1) * wide); // least byte first, as browsers run on
      }
    },

    triangle(a, b, c, way) {
      const [xa, ya, xb, yb, xc, yc] = [a[0], a[1], b[0], b[1], c[0], c[1]];
      const area = (xb - xa) * (yc - ya) - (yb - ya) * (xc - xa);
      if (area === 0) return;
      const [left, right] = [Math.max(Math.ceil(Math.min(xa, xb, xc) - 0.5), 0), Math.min(Math.floor(Math.max(xa, xb, xc) - 0.5), wide - 1)];
      const [top, below] = [Math.max(Math.ceil(Math.min(ya, yb, yc) - 0.5), 0), Math.min(Math.floor(Math.max(ya, yb, yc) - 0.5), tall - 1)];
      // By how much the share of each corner grows from pixel to pixel.
      const [ofB, ofC] = [(yc - ya) / area, -(yb - ya) / area];
      for (let y = top; y <= below; y += 1) {
        const dy = y + 0.5 - ya;
        let shareB = (left + 0.5 - xa) * ofB - (dy * (xc - xa)) / area;
        let shareC = (left + 0.5 - xa) * ofC + (dy * (xb - xa)) / area;
        for (let x = left; x <= right; x += 1, shareB += ofB, shareC += ofC) {
          const shareA = 1 - shareB - shareC;
          if (shareA < 0 || shareB < 0 || shareC < 0) continue;
          const depth = shareA * a[2] + shareB * b[2] + shareC * c[2]; // even on the screen, as depth by w is
          if (way.tests && depth >= (depths[y * wide + x] as number)) continue;
          const red = shareA * a[3] + shareB * b[3] + shareC * c[3];
          const green = shareA * a[4] + shareB * b[4] + shareC * c[4];
          put(y * wide + x, depth, red, green, shareA * a[5] + shareB * b[5] + shareC * c[5], way);
        }
      }
    },

    line(a, b, way) {
      const steps = Math.ceil(Math.max(Math.abs(b[0] - a[0]), Math.abs(b[1] - a[1])));
      if (!(steps < 4 * (wide + tall))) return; // it comes from too far beside the picture to matter
      for (let step = 0; step <= steps; step += 1) {
        const share = steps === 0 ? 0 : step / steps;
        const [x, y] = [Math.floor(a[0] + (b[0] - a[0]) * share), Math.floor(a[1] + (b[1] - a[1]) * share)];
        if (x < 0 || y < 0 || x >= wide || y >= tall) continue;
        const depth = a[2] + (b[2] - a[2]) * share;
        put(y * wide + x, depth - IN_FRONT, a[3], a[4], a[5], way);
      }
    },

    show: () => void pen?.putImageData(image, 0, 0),
  };
}
