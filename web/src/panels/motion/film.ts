/** A film of the view while the show plays: WebM, as the browser itself encodes it. */

const TYPES = ["video/webm;codecs=vp9", "video/webm;codecs=vp8", "video/webm"];
const PICTURES = 30; // a second
const BITS = 6_000_000; // a second

export interface Film {
  /** End it; answers the file. */
  stop(): Promise<Blob>;
}

/** What a browser that makes no WebM is told to do instead; null where it does. */
export function whyNoFilm(): string | null {
  if (type()) return null;
  return "This browser cannot record WebM. Use Chrome, Edge or Firefox, or export the animated GLB, which any 3D viewer plays.";
}

export function startFilm(canvas: HTMLCanvasElement): Film {
  const mimeType = type();
  if (!mimeType) throw new Error(whyNoFilm() ?? "");
  const stream = canvas.captureStream(PICTURES);
  const recorder = new MediaRecorder(stream, { mimeType, videoBitsPerSecond: BITS });
  const parts: Blob[] = [];
  recorder.addEventListener("dataavailable", ({ data }) => data.size > 0 && parts.push(data));
  const ended = new Promise<Blob>((resolve, reject) => {
    recorder.addEventListener("stop", () => resolve(new Blob(parts, { type: "video/webm" })));
    recorder.addEventListener("error", () => reject(new Error("The browser stopped recording. Try a smaller window.")));
  });
  recorder.start(1000);
  return {
    stop() {
      if (recorder.state !== "inactive") recorder.stop();
      for (const track of stream.getTracks()) track.stop();
      return ended;
    },
  };
}

function type(): string | undefined {
  if (typeof MediaRecorder === "undefined" || !("captureStream" in HTMLCanvasElement.prototype)) return undefined;
  return TYPES.find((each) => MediaRecorder.isTypeSupported(each));
}
