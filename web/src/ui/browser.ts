/** The few things asked of the browser itself. */

/** The element of index.html with this id. */
export function byId<Kind extends HTMLElement = HTMLElement>(id: string): Kind {
  const element = document.getElementById(id);
  if (!element) throw new Error(`index.html has no #${id}`);
  return element as Kind;
}

/** Hand the browser a file to save. */
export function download(name: string, data: BlobPart, type: string): void {
  const url = URL.createObjectURL(new Blob([data], { type }));
  const link = document.createElement("a");
  link.href = url;
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
}
