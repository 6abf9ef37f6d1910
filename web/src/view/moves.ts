/**
 * Where a pointer that is down goes, as soon as the browser knows. A `pointermove` comes right before a frame, and Python's
 * answer to it a frame later; where the browser tells of raw moves, Python is asked while there is time for the next frame.
 */
export function onMoves(canvas: HTMLElement, move: (event: PointerEvent) => void): void {
  let told: PointerEvent | null = null;

  function once(event: Event): void {
    const { pointerId, clientX, clientY } = event as PointerEvent;
    // The frame's own event tells again what the last raw one told.
    if (told?.pointerId === pointerId && told.clientX === clientX && told.clientY === clientY) return;
    told = event as PointerEvent;
    move(told);
  }

  // With nothing held they would only be many: a mouse may tell of a thousand a second.
  const press = ({ target }: Event): void => {
    told = null;
    if (target === canvas) canvas.addEventListener("pointerrawupdate", once);
  };
  addEventListener("pointerdown", press, { capture: true });
  for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => canvas.removeEventListener("pointerrawupdate", once), { capture: true });
  canvas.addEventListener("pointermove", once);
}
