/** A printed document with pictures as one picture: its words and drawings set anew, one below the other. */

const FINE = 2; // pixels for each px
const TALLEST = 16_000; // pixels; browsers draw no taller picture
const WIDTH = 800;
const EDGE = 32;
const ROOM = WIDTH - 2 * EDGE;
const GAP = 10;
const INK = "#111";
const SOFT = "#444";
const FONT = "system-ui, sans-serif";

/** Draws at a height. */
type Step = (pen: CanvasRenderingContext2D, y: number) => void;

interface Block {
  readonly height: number;
  readonly draw: Step;
}

export function hasPictures(html: string): boolean {
  return html.includes("<image ");
}

/** The document as a PNG. Rejects for one that is taller than a browser draws. */
export async function pngOf(html: string): Promise<Blob> {
  const read = new DOMParser().parseFromString(html.replace(/<style>[^<]*<\/style>/, ""), "text/html");
  const measure = canvasOf(1, 1)[1];
  const blocks: Block[] = [];
  for (const element of read.querySelectorAll("h1, h2, dl.facts > div, .pictures, li, p")) blocks.push(await blockOf(element, measure));
  const height = blocks.reduce((sum, block) => sum + block.height, 2 * EDGE);
  if (height * FINE > TALLEST) throw new Error("These are too many looks for one picture: print the sheet, as a PDF if you like.");
  const [canvas, pen] = canvasOf(WIDTH * FINE, height * FINE);
  pen.scale(FINE, FINE);
  pen.fillStyle = "#fff";
  pen.fillRect(0, 0, WIDTH, height);
  let y = EDGE;
  for (const block of blocks) {
    block.draw(pen, y);
    y += block.height;
  }
  return new Promise((resolve, reject) => canvas.toBlob((blob) => (blob ? resolve(blob) : reject(new Error("This browser gives no picture out."))), "image/png"));
}

function blockOf(element: Element, measure: CanvasRenderingContext2D): Block | Promise<Block> {
  const words = element.textContent ?? "";
  if (element.matches(".pictures")) return pictures(element);
  if (element.matches("h1")) return text(measure, words, `600 26px ${FONT}`, INK, 0, 12);
  if (element.matches("h2")) return text(measure, words, `600 16px ${FONT}`, INK, 18, 6);
  if (element.matches("li")) return text(measure, `• ${words}`, `14px ${FONT}`, INK, 0, 4);
  if (element.matches("div")) return text(measure, [...element.children].map((each) => each.textContent).join(": "), `14px ${FONT}`, SOFT, 0, 2);
  return text(measure, words, `14px ${FONT}`, SOFT, 0, 4);
}

/** Words in lines that fit. A word that does not fit is broken. */
function text(measure: CanvasRenderingContext2D, words: string, font: string, colour: string, above: number, below: number): Block {
  const size = Number(/(\d+)px/.exec(font)?.[1]);
  const step = size * 1.3;
  measure.font = font;
  const fits = (line: string): boolean => measure.measureText(line).width <= ROOM;
  const lines: string[] = [];
  let line = "";
  for (const word of words.split(/(?<=\s)/)) {
    if (fits(line + word.trimEnd())) {
      line += word;
      continue;
    }
    if (line) lines.push(line);
    line = "";
    for (const sign of word) {
      if (line && !fits(line + sign)) {
        lines.push(line);
        line = "";
      }
      line += sign;
    }
  }
  lines.push(line);
  return {
    height: above + lines.length * step + below,
    draw(pen, y) {
      pen.font = font;
      pen.fillStyle = colour;
      pen.textAlign = "start";
      lines.forEach((each, index) => pen.fillText(each, EDGE, y + above + index * step + size));
    },
  };
}

async function pictures(row: Element): Promise<Block> {
  const figures = [...row.children];
  const side = (ROOM - GAP * (figures.length - 1)) / figures.length;
  const drawn = await Promise.all(figures.map((figure) => imageOf(figure.querySelector("svg"))));
  const captions = figures.map((figure) => figure.querySelector("figcaption")?.textContent ?? "");
  return {
    height: side + 26,
    draw(pen, y) {
      drawn.forEach((image, index) => {
        const x = EDGE + index * (side + GAP);
        pen.drawImage(image, x, y, side, side);
        pen.font = `600 13px ${FONT}`;
        pen.fillStyle = INK;
        pen.textAlign = "center";
        pen.fillText(captions[index] ?? "", x + side / 2, y + side + 17, side);
      });
    },
  };
}

/** A drawing as a picture, as fine as it will be drawn. */
async function imageOf(svg: SVGElement | null): Promise<HTMLImageElement> {
  const image = new Image();
  if (!svg) return image;
  svg.setAttribute("width", "800");
  svg.setAttribute("height", "800");
  image.src = `data:image/svg+xml,${encodeURIComponent(new XMLSerializer().serializeToString(svg))}`;
  await image.decode();
  return image;
}

function canvasOf(width: number, height: number): readonly [HTMLCanvasElement, CanvasRenderingContext2D] {
  const canvas = document.createElement("canvas");
  [canvas.width, canvas.height] = [Math.round(width), Math.round(height)];
  const pen = canvas.getContext("2d");
  if (!pen) throw new Error("This browser draws no picture.");
  return [canvas, pen];
}
