/** The view as a PNG with a caption under it. */

import { shownColour } from "../view/stage";

const MARGIN = 0.02; // of the width

export async function captioned(view: HTMLCanvasElement, caption: string): Promise<Blob> {
  const { width, height } = view;
  const size = Math.max(14, Math.round(width * MARGIN));
  const strip = caption ? size * 2.6 : 0;
  const sheet = new OffscreenCanvas(width, height + strip);
  const pen = sheet.getContext("2d");
  if (!pen) throw new Error("This browser gives no canvas to draw the picture on.");
  pen.fillStyle = shownColour("--card");
  pen.fillRect(0, 0, sheet.width, sheet.height);
  pen.drawImage(view, 0, 0);
  pen.fillStyle = shownColour("--ink");
  pen.font = `${size}px ${getComputedStyle(document.body).fontFamily}`;
  pen.textBaseline = "middle";
  pen.fillText(caption, size, height + strip / 2, width - size * 2);
  return sheet.convertToBlob({ type: "image/png" });
}
