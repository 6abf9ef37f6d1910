/** A printed document of Python in this page: seen in a tree of its own, so that neither style touches the other. */

const STYLE = /<style>([^<]*)<\/style>/;

/** Put the document into a box of the page. What it holds are elements that Python made; it has no script. */
export function lay(box: HTMLElement, html: string): void {
  // Taken out before it is read: the page's own policy would have it refused, and said so for every document.
  const read = new DOMParser().parseFromString(html.replace(STYLE, ""), "text/html");
  const style = new CSSStyleSheet();
  style.replaceSync(STYLE.exec(html)?.[1] ?? "");
  const root = box.shadowRoot ?? box.attachShadow({ mode: "open" });
  root.adoptedStyleSheets = [style];
  root.replaceChildren(...read.body.children);
}

// On paper nothing but the document; on the screen it is not there, because there is a view of it already.
const PRINTED = `
@media screen { #printed { display: none } }
@media print {
  body > :not(#printed) { display: none !important }
  html, body { display: block !important; block-size: auto !important; overflow: visible !important; background: #fff !important }
  #printed { display: block }
}`;

/** Ask the browser to print the document. */
export function print(html: string): void {
  const box = document.createElement("div");
  box.id = "printed";
  lay(box, html);
  const style = new CSSStyleSheet();
  // Of the document's own style only the rule of the page counts outside of its tree.
  const page = /@page \{(?:[^{}]|\{[^{}]*\})*\}/.exec(html)?.[0] ?? "";
  style.replaceSync(`${page}\n${PRINTED}`);
  document.body.append(box);
  document.adoptedStyleSheets = [...document.adoptedStyleSheets, style];
  const title = document.title;
  document.title = box.shadowRoot?.querySelector("h1")?.textContent ?? title; // which becomes the name of a PDF
  window.addEventListener(
    "afterprint",
    () => {
      document.title = title;
      document.adoptedStyleSheets = document.adoptedStyleSheets.filter((each) => each !== style);
      box.remove();
    },
    { once: true },
  );
  window.print();
}
