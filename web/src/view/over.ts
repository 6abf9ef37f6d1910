/** What lies over the picture, as boxes of it in px: measured when that changes, and never while the view turns. */

export interface Box {
  readonly left: number;
  readonly top: number;
  readonly right: number;
  readonly bottom: number;
}

const OVER = ".stage__tools > *, .stage__status > *, .toast";

/** The boxes that lie over `holder` among what stands beside it, by a function; `changed` hears when they are others. */
export function watchOver(holder: HTMLElement, changed: () => void): () => readonly Box[] {
  let boxes: readonly Box[] | null = null;
  let asked = 0;
  const again = (): void => {
    boxes = null;
    asked ||= requestAnimationFrame(() => {
      asked = 0;
      changed();
    });
  };
  const beside = [...(holder.parentElement?.children ?? [])].filter((each) => each !== holder);
  const [grown, told] = [new ResizeObserver(again), new MutationObserver(again)];
  for (const each of [holder, ...beside]) grown.observe(each);
  for (const each of beside) told.observe(each, { subtree: true, childList: true, characterData: true, attributeFilter: ["hidden", "open"] });

  function measure(): readonly Box[] {
    const { left, top } = holder.getBoundingClientRect();
    return beside
      .flatMap((each) => [...each.querySelectorAll(OVER)])
      .map((each) => each.getBoundingClientRect())
      .filter(({ width }) => width > 0)
      .map((box) => ({ left: box.left - left, top: box.top - top, right: box.right - left, bottom: box.bottom - top }));
  }

  return () => (boxes ??= measure());
}
