/** A table of readings, with a caption and heads that a screen reader can follow. */

import type { ComponentChildren } from "preact";

interface TableProps {
  readonly caption: string;
  readonly heads: readonly string[];
  /** Rows of cells, the first of each its head. */
  readonly rows: readonly (readonly ComponentChildren[])[];
}

export function Table({ caption, heads, rows }: TableProps) {
  return (
    <div class="sheet" tabIndex={0} role="region" aria-label={caption}>
      <table>
        <caption>{caption}</caption>
        <thead>
          <tr>{heads.map((head, at) => <th key={at} scope="col">{head}</th>)}</tr>
        </thead>
        <tbody>
          {rows.map(([first, ...rest], row) => (
            <tr key={row}>
              <th scope="row">{first}</th>
              {rest.map((cell, at) => <td key={at}>{cell}</td>)}
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}
