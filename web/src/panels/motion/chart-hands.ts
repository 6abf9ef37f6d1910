/** A chart taken in hand: dragged to pan, pinched or wheeled to zoom, pressed to go there; by keys alike. */

import type { Span } from "./curves";

export interface ChartHearer {
  /** What is looked at now, and all there is. */
  view(): Span;
  whole(): Span;
  look(span: Span): void;
  seek(time: number): void;
}

const CLICK_PX = 5;
const STEP = 0.25; // of what is looked at, a key
const ZOOM = 1.5; // a key or a button

/** The same length or another, about a time that stays where it is. */
export function zoomed({ begin, end }: Span, factor: number, about = (begin + end) / 2): Span {
  return { begin: about - (about - begin) * factor, end: about + (end - about) * factor };
}

export function panned({ begin, end }: Span, share: number): Span {
  const by = (end - begin) * share;
  return { begin: begin + by, end: end + by };
}

/** What a key does to what is looked at; null for a key that does nothing. */
export function keyed(key: string, view: Span, whole: Span): Span | null {
  if (key === "ArrowLeft") return panned(view, -STEP);
  if (key === "ArrowRight") return panned(view, STEP);
  if (key === "+" || key === "=") return zoomed(view, 1 / ZOOM);
  if (key === "-") return zoomed(view, ZOOM);
  return key === "Home" ? whole : null;
}

export function listenToChart(over: HTMLElement, hearer: ChartHearer): void {
  const fingers = new Map<number, number>(); // where each is, in px from the left
  let from: { view: Span; places: readonly number[]; moved: boolean } | null = null;

  const width = (): number => Math.max(over.clientWidth, 1);
  const placeOf = (event: MouseEvent): number => event.clientX - over.getBoundingClientRect().left;
  const timeAt = (px: number, { begin, end }: Span): number => begin + (px / width()) * (end - begin);

  function take(): void {
    from = fingers.size > 0 ? { view: hearer.view(), places: [...fingers.values()], moved: from?.moved ?? false } : null;
  }

  over.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    over.setPointerCapture(event.pointerId);
    fingers.set(event.pointerId, placeOf(event));
    take();
  });

  over.addEventListener("pointermove", (event) => {
    if (!from || !fingers.has(event.pointerId)) return;
    fingers.set(event.pointerId, placeOf(event));
    const places = [...fingers.values()];
    const [a = 0, b = a] = from.places;
    const [now = 0, other = now] = places;
    from.moved ||= places.length > 1 || Math.abs(now - a) > CLICK_PX;
    if (!from.moved) return;
    const factor = places.length > 1 ? Math.abs(a - b) / Math.max(Math.abs(now - other), 1) : 1;
    const held = timeAt((a + b) / 2, from.view);
    const length = (from.view.end - from.view.begin) * factor;
    const begin = held - ((now + other) / 2 / width()) * length;
    hearer.look({ begin, end: begin + length });
  });

  function release(event: PointerEvent): void {
    if (!fingers.delete(event.pointerId)) return;
    if (event.type === "pointerup" && from && !from.moved) hearer.seek(timeAt(placeOf(event), hearer.view()));
    take();
  }
  over.addEventListener("pointerup", release);
  over.addEventListener("pointercancel", release);
  over.addEventListener("dblclick", () => hearer.look(hearer.whole()));
  over.addEventListener(
    "wheel",
    (event) => {
      event.preventDefault();
      const sideways = Math.abs(event.deltaX) > Math.abs(event.deltaY) || event.shiftKey;
      if (sideways) hearer.look(panned(hearer.view(), (event.deltaX || event.deltaY) / width()));
      else hearer.look(zoomed(hearer.view(), Math.exp(event.deltaY * 0.002), timeAt(placeOf(event), hearer.view())));
    },
    { passive: false },
  );
}
