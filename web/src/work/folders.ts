/** Files and folders of the builder's disk, dropped or chosen together, by path. */

import { BUDGETS } from "../engine/protocol";
import { readable } from "./files";
import type { Files } from "./history";

/** A file that came, with its path from the folder that came. */
export interface Came {
  readonly path: string;
  readonly file: File;
}

/** All files of a drop, those within folders too. */
export async function dropped(carried: DataTransfer): Promise<readonly Came[]> {
  // The browser lets go of what was dropped when this turn is over: all is asked for in it.
  const items = [...carried.items].filter(({ kind }) => kind === "file").map((item) => ({ entry: item.webkitGetAsEntry?.() ?? null, file: item.getAsFile() }));
  const found = await Promise.all(items.map(({ entry, file }) => (entry?.isDirectory ? within(entry as FileSystemDirectoryEntry) : file ? [{ path: file.name, file }] : [])));
  return found.flat();
}

/** Files that were chosen, as a folder or side by side. */
export function chosen(files: FileList | null): readonly Came[] {
  return [...(files ?? [])].map((file) => ({ path: file.webkitRelativePath || file.name, file }));
}

/** Their bytes by path. What is more than a prop may have is not even read. */
export async function bytesOf(came: readonly Came[]): Promise<Files> {
  const size = came.reduce((sum, { file }) => sum + file.size, 0);
  if (came.length > BUDGETS.FOLDER_FILES || size > BUDGETS.FOLDER_BYTES) {
    const most = `${BUDGETS.FOLDER_FILES} files and ${(BUDGETS.FOLDER_BYTES / 2 ** 20).toFixed(0)} MB`;
    throw new Error(`These are ${came.length} files of ${(size / 2 ** 20).toFixed(0)} MB; the browser takes ${most} at once.`);
  }
  const twice = came.map(({ path }) => path).find((path, at, all) => all.indexOf(path) < at);
  if (twice !== undefined) throw new Error(`Two of them are called “${twice}”, from different folders. Give them different names, or bring the folder that holds both.`);
  return Object.fromEntries(await Promise.all(came.map(async ({ path, file }) => [path, await readable(file)] as const)));
}

async function within(folder: FileSystemDirectoryEntry): Promise<readonly Came[]> {
  const reader = folder.createReader();
  const entries: FileSystemEntry[] = [];
  // Ends: a browser gives a part of the folder each time, and nothing when all of it was given.
  for (;;) {
    const some = await new Promise<FileSystemEntry[]>((resolve, reject) => reader.readEntries(resolve, reject));
    if (some.length === 0 || entries.length > BUDGETS.FOLDER_FILES) break;
    entries.push(...some);
  }
  const found = await Promise.all(
    entries.map(async (entry) => {
      if (entry.isDirectory) return within(entry as FileSystemDirectoryEntry);
      const file = await new Promise<File>((resolve, reject) => (entry as FileSystemFileEntry).file(resolve, reject));
      return [{ path: entry.fullPath.replace(/^\//, ""), file }];
    }),
  );
  return found.flat();
}
