/** Two plots over one time: position and speed of a drive. Fetched only when a show is opened. */

import "../../ui/language"; // before uPlot, which asks for it as it loads
import uPlot from "uplot";
import "uplot/dist/uPlot.min.css";
import { clock, round } from "../../ui/numbers";
import { shownColour } from "../../view/stage";
import { type ChartHearer, listenToChart } from "./chart-hands";
import type { Span } from "./curves";

/** One drive over the part at hand. */
export interface Lines {
  readonly times: Float32Array;
  readonly commanded: Float32Array;
  readonly real: Float32Array;
  readonly speed: Float32Array;
  /** Limits of speed to draw [°/s]. */
  readonly limits: readonly number[];
}

export interface Chart {
  draw(lines: Lines): void;
  look(span: Span): void;
  /** Where the play is. */
  head(time: number): void;
  picture(): Promise<Blob>;
  remove(): void;
}

/** `read` hears which row of the lines the cursor is at; null where it is nowhere. */
export function createChart(holder: HTMLElement, hearer: ChartHearer & { read(row: number | null): void }): Chart {
  let lines: Lines | null = null;
  let span: Span = hearer.view();
  let now = 0;
  let plots: readonly uPlot[] = [];
  const above = room("position at the shaft, °");
  const below = room("speed, °/s");
  holder.replaceChildren(above.element, below.element);
  const heads = [above, below].map(({ element }) => element.appendChild(Object.assign(document.createElement("div"), { className: "charts__head" })));

  function make(): void {
    for (const plot of plots) plot.destroy();
    const shared = { hearer, read: hearer.read };
    plots = [
      plotIn(above.element, shared, false, [COMMANDED, REAL]),
      plotIn(below.element, shared, true, [REAL, LIMIT, LIMIT]),
    ];
    for (const plot of plots) listenToChart(plot.over, hearer);
    fill();
  }

  function fill(): void {
    const [position, velocity] = plots;
    if (!lines || !position || !velocity) return;
    const { times, commanded, real, speed, limits } = lines;
    const level = (at: number): (number | null)[] => Array.from(times, () => limits[at] ?? null);
    // The times before the lines: a plot draws as soon as it has either.
    position.setData([times, commanded, real] as unknown as uPlot.AlignedData, false);
    velocity.setData([times, speed, level(0), level(1)] as unknown as uPlot.AlignedData, false);
    scale();
  }

  function scale(): void {
    for (const plot of plots) plot.setScale("x", { min: span.begin, max: span.end });
    place();
  }

  function place(): void {
    plots.forEach((plot, index) => {
      const head = heads[index];
      if (!head) return;
      const left = plot.valToPos(now, "x");
      head.hidden = !(left >= 0 && left <= plot.over.clientWidth);
      head.style.transform = `translateX(${(left + plot.over.offsetLeft).toFixed(1)}px)`;
    });
  }

  const sized = new ResizeObserver(() => {
    for (const plot of plots) plot.setSize(sizeOf(plot.root.parentElement as HTMLElement));
    place();
  });
  sized.observe(holder);
  const themed = new MutationObserver(make);
  themed.observe(document.documentElement, { attributeFilter: ["data-theme"] });
  const dark = matchMedia("(prefers-color-scheme: dark)");
  dark.addEventListener("change", make);
  make();

  return {
    draw(next) {
      lines = next;
      fill();
    },
    look(next) {
      span = next;
      scale();
    },
    head(time) {
      now = time;
      place();
    },
    picture: () => stacked(plots.map(({ ctx }) => ctx.canvas)),
    remove() {
      sized.disconnect();
      themed.disconnect();
      dark.removeEventListener("change", make);
      for (const plot of plots) plot.destroy();
      holder.replaceChildren();
    },
  };
}

function room(title: string): { element: HTMLElement } {
  const element = document.createElement("div");
  element.className = "charts__plot";
  element.append(Object.assign(document.createElement("span"), { className: "charts__title", textContent: title }));
  return { element };
}

interface Stroke {
  readonly colour: `--${string}`;
  readonly width: number;
  readonly dash: number[];
  readonly stepped: boolean;
}

// Told apart by their dashes; colour only repeats it.
const REAL: Stroke = { colour: "--accent", width: 2, dash: [], stepped: false };
const COMMANDED: Stroke = { colour: "--brass", width: 1.5, dash: [5, 3], stepped: true };
const LIMIT: Stroke = { colour: "--bad", width: 1.5, dash: [1.5, 3], stepped: false };

function plotIn(holder: HTMLElement, { hearer, read }: { hearer: ChartHearer; read(row: number | null): void }, timed: boolean, strokes: readonly Stroke[]): uPlot {
  const ink = shownColour("--ink-soft");
  const grid = { stroke: shownColour("--line"), width: 1 };
  const font = `11px ${getComputedStyle(document.body).getPropertyValue("--mono")}`;
  const axis = { stroke: ink, grid, ticks: { show: false }, font };
  const stepped = uPlot.paths.stepped?.({ align: 1 });
  return new uPlot(
    {
      ...sizeOf(holder),
      scales: { x: { time: false, auto: false }, y: { range: (_, low, high) => roomy(low, high) } },
      legend: { show: false },
      cursor: { sync: { key: "posekit" }, drag: { x: false, y: false }, y: false, points: { size: 7 } },
      axes: [
        { ...axis, size: timed ? 20 : 4, values: timed ? (_, times) => times.map((time) => shortClock(time, hearer.view())) : () => [] },
        { ...axis, size: 48, values: (_, values) => values.map(round), space: 26 },
      ],
      series: [
        {},
        ...strokes.map(({ colour, width, dash, stepped: steps }) => ({
          stroke: shownColour(colour),
          width,
          dash,
          points: { show: false },
          ...(steps && stepped && { paths: stepped }),
        })),
      ],
      hooks: { setCursor: [({ cursor }) => read(cursor.idx ?? null)] },
    },
    [[], ...strokes.map(() => [])] as uPlot.AlignedData,
    holder,
  );
}

function sizeOf(holder: HTMLElement): { width: number; height: number } {
  return { width: Math.max(holder.clientWidth, 120), height: Math.max(holder.clientHeight, 60) };
}

/** Some room above and below, so that no line lies on the frame. */
function roomy(low: number | null, high: number | null): [number, number] {
  if (low === null || high === null) return [-1, 1];
  const room = Math.max((high - low) * 0.06, 0.5);
  return [low - room, high + room];
}

/** A time without the hundredths where what is looked at is long. */
function shortClock(time: number, { begin, end }: Span): string {
  return end - begin > 4 ? clock(time).slice(0, -3) : clock(time);
}

/** Canvases below each other as one picture. */
async function stacked(canvases: readonly HTMLCanvasElement[]): Promise<Blob> {
  const sheet = new OffscreenCanvas(Math.max(...canvases.map(({ width }) => width)), canvases.reduce((sum, { height }) => sum + height, 0));
  const pen = sheet.getContext("2d");
  if (!pen) throw new Error("This browser gives no canvas to draw the picture on.");
  pen.fillStyle = shownColour("--card");
  pen.fillRect(0, 0, sheet.width, sheet.height);
  let top = 0;
  for (const canvas of canvases) {
    pen.drawImage(canvas, 0, top);
    top += canvas.height;
  }
  return sheet.convertToBlob({ type: "image/png" });
}
