/** Bytes as JSON can carry them: in links and to the server. */

/** Text as it is, for that packs best; all else as base64. */
export type Written = { readonly text: string } | { readonly base64: string };

export function written(bytes: Uint8Array): Written {
  try {
    return { text: new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(bytes) };
  } catch {
    return { base64: base64(bytes) };
  }
}

export function read(file: Written): Uint8Array<ArrayBuffer> {
  return "text" in file ? new TextEncoder().encode(file.text) : unbase64(file.base64);
}

// base64url: the letters of RFC 4648 section 5, which need no escape in a fragment.
export function base64(bytes: Uint8Array): string {
  let text = "";
  for (let at = 0; at < bytes.length; at += 0x8000) text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  return btoa(text).replaceAll("+", "-").replaceAll("/", "_").replaceAll("=", "");
}

export function unbase64(text: string): Uint8Array<ArrayBuffer> {
  return Uint8Array.from(atob(text.replaceAll("-", "+").replaceAll("_", "/")), (letter) => letter.charCodeAt(0));
}
