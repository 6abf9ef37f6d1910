/** Building elements without a framework: `h("button", {type: "button", onclick}, "Undo")`. */

export type Child = Node | string | number | null | undefined | false;
type Attribute = string | number | boolean | null | undefined | ((event: never) => void);
export type Attributes = Record<string, Attribute>;

/** An element. `on...` keys listen, booleans set or leave out an attribute, all else is an attribute. */
export function h<Tag extends keyof HTMLElementTagNameMap>(
  tag: Tag,
  attributes: Attributes = {},
  ...children: Child[]
): HTMLElementTagNameMap[Tag] {
  const element = document.createElement(tag);
  apply(element, attributes);
  element.append(...kept(children));
  return element;
}

const SVG = "http://www.w3.org/2000/svg";

/** The same for drawings. */
export function s<Tag extends keyof SVGElementTagNameMap>(
  tag: Tag,
  attributes: Attributes = {},
  ...children: Child[]
): SVGElementTagNameMap[Tag] {
  const element = document.createElementNS(SVG, tag) as SVGElementTagNameMap[Tag];
  apply(element, attributes);
  element.append(...kept(children));
  return element;
}

function apply(element: Element, attributes: Attributes): void {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name.slice(2), value as EventListener);
    else if (value === true) element.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) element.setAttribute(name, String(value));
  }
}

function kept(children: Child[]): (Node | string)[] {
  return children
    .filter((child) => child !== null && child !== undefined && child !== false)
    .map((child) => (child instanceof Node ? child : String(child)));
}

/** The element of index.html with this id. */
export function byId<Kind extends HTMLElement = HTMLElement>(id: string): Kind {
  const element = document.getElementById(id);
  if (!element) throw new Error(`index.html has no #${id}`);
  return element as Kind;
}

let ids = 0;

/** An id for `for`, `aria-describedby` and their kin. */
export function freshId(stem: string): string {
  ids += 1;
  return `${stem}-${ids}`;
}

/** Hand the browser a file to save. */
export function download(name: string, data: BlobPart, type: string): void {
  const url = URL.createObjectURL(new Blob([data], { type }));
  h("a", { href: url, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
