/** A note as it goes to the builder, and as it came back with what became of it. */

export type Kind = "approved" | "change" | "note";

export interface Note {
  readonly id: string;
  readonly made: string;
  readonly by: string;
  readonly kind: Kind;
  readonly look: string | null;
  readonly show: string | null;
  readonly time_s: number | null;
  readonly part: string | null;
  readonly point_mm: readonly [number, number, number] | null;
  readonly text: string;
}

/** A note that is kept with the prop; what is empty is left out. */
export interface Kept extends Partial<Omit<Note, "id" | "kind" | "made">> {
  readonly id: string;
  /** By which the builder calls it, too. */
  readonly number: number;
  readonly kind: Kind;
  readonly made: string;
  /** Of the figure in the file it was made in. */
  readonly fingerprint: string;
  readonly done?: string | null;
  readonly answer?: string;
}

export interface Limits {
  readonly notes: number;
  readonly letters: number;
  readonly name_letters: number;
}

export const KINDS: Readonly<Record<Kind, string>> = { approved: "Approved", change: "Change requested", note: "Note" };

/** The number of an own note in this row: the builder gives it the same when it comes in next. */
export function numberOf({ notes }: { readonly notes: readonly Kept[] }, row: number): number {
  return notes.length + row + 1;
}

/** The notes in the form that the builder's posekit reads. */
export function taken(notes: readonly Note[], file: { readonly prop: string; readonly fingerprint: string; readonly made: string }) {
  return { posekit_notes: 1, prop: file.prop, fingerprint: file.fingerprint, file_made: file.made, notes };
}

/** The same as a message: lines for people, then one line for posekit. */
export function asMessage(form: ReturnType<typeof taken>, told: (note: Note) => string): string {
  const lines = form.notes.map((note) => `- ${told(note)}${note.text ? `: ${note.text.replaceAll(/\s+/g, " ")}` : ""}`);
  return [`Notes on ${form.prop}, file of ${form.file_made}`, ...lines, "", `posekit notes ${JSON.stringify(form)}`, ""].join("\n");
}

export function freshId(): string {
  return [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, "0")).join("");
}

export function now(): string {
  return `${new Date().toISOString().slice(0, 19)}Z`;
}
