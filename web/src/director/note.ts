/** A note as it goes to the builder, and as it came back with what became of it. */

export type Kind = "approved" | "change" | "note";

export interface Note {
  readonly id: string;
  readonly made: string;
  /** When it was last put in other words. */
  readonly revised?: string | null;
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

/** When its words are from [ms]. */
export function saidAt({ revised, made }: Pick<Note, "made" | "revised">): number {
  return Date.parse(revised ?? made);
}

/** Own notes by their numbers: the builder gives them the same when they come in next, or gave one when it came in. */
export function numbered({ notes }: { readonly notes: readonly Kept[] }, own: readonly Note[]): readonly (Note & { readonly number: number })[] {
  const known = new Map(notes.map(({ id, number }) => [id, number]));
  let last = notes.length;
  return own.map((note) => ({ ...note, number: known.get(note.id) ?? (last += 1) }));
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

/** A time for new words of a note: later than that of its words so far, whatever the clock says. */
export function later(than: Note): string {
  return new Date(Math.max(Date.now(), saidAt(than) + 1)).toISOString();
}

export function now(): string {
  return new Date().toISOString();
}
