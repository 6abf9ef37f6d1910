/** Line drawings, 24 x 24, of our own. Beside words they are decoration; alone their button has a name. */

const DRAWN = {
  undo: "M9 7 L4 12 L9 17 M4 12 H14 a6 6 0 0 1 6 6",
  redo: "M15 7 L20 12 L15 17 M20 12 H10 a6 6 0 0 0 -6 6",
  open: "M3 19 V6 h6 l2 2.5 h10 V19 Z",
  save: "M12 4 V15 M7 10.5 L12 15.5 L17 10.5 M4 20 H20",
  share: "M9 15 L15 9 M10.5 7.5 L13 5 a4.2 4.2 0 0 1 6 6 L16.5 13.5 M7.5 10.5 L5 13 a4.2 4.2 0 0 0 6 6 L13.5 16.5",
  picture: "M3 7 h4 l2 -2.5 h6 L17 7 h4 v12 H3 Z M12 9.5 a3.5 3.5 0 1 0 0.01 0",
  system: "M4 5 H20 V16 H4 Z M9 20 H15 M12 16 V20",
  light: "M12 8 a4 4 0 1 0 0.01 0 M12 2.5 V5 M12 19 V21.5 M2.5 12 H5 M19 12 H21.5 M5.3 5.3 L7 7 M17 17 L18.7 18.7 M5.3 18.7 L7 17 M17 7 L18.7 5.3",
  dark: "M19.5 14.5 A8 8 0 1 1 9.5 4.5 A6.5 6.5 0 0 0 19.5 14.5 Z",
  home: "M4 9 V4 H9 M15 4 H20 V9 M20 15 V20 H15 M9 20 H4 V15 M12 10 a2 2 0 1 0 0.01 0",
  axes: "M12 12 V3 M12 12 L20 17 M12 12 L4 17 M9.5 5.5 L12 3 L14.5 5.5",
  names: "M4 5 H14 L20 12 L14 19 H4 Z M8 12 h4",
  linkage: "M6 18 L9 7 L18 10 M6 15.5 a2.5 2.5 0 1 0 0.01 0 M9 5 a2 2 0 1 0 0.01 0 M18 8 a2 2 0 1 0 0.01 0",
  sweep: "M5 19 L5 4 M5 19 L19 13 M9 5 A15 15 0 0 1 18 10 M15.5 9.7 L18.2 10.4 L18.6 7.6",
  ghost: "M4 8 H14 V20 H4 Z M10 8 V4 H20 V16 H14",
  look: "M2.5 12 C6 6.5 18 6.5 21.5 12 C18 17.5 6 17.5 2.5 12 Z M12 9.5 a2.5 2.5 0 1 0 0.01 0",
  hand: "M7 12 V6.5 a1.5 1.5 0 0 1 3 0 V11 V4.7 a1.5 1.5 0 0 1 3 0 V11 V5.7 a1.5 1.5 0 0 1 3 0 V12 V8.5 a1.5 1.5 0 0 1 3 0 V15 a6 6 0 0 1 -6 6 h-1.5 a6 6 0 0 1 -5 -2.7 L4 14 a1.5 1.5 0 0 1 2.4 -1.7 Z",
  target: "M12 5 a7 7 0 1 0 0.01 0 M12 2 V8 M12 16 V22 M2 12 H8 M16 12 H22",
  error: "M8 3 H16 L21 8 V16 L16 21 H8 L3 16 V8 Z M9 9 L15 15 M15 9 L9 15",
  warning: "M12 3.5 L22 20.5 H2 Z M12 10 V15 M12 17.7 V17.9",
  near: "M5 5 V19 M19 5 V19 M8 12 H16 M10.5 9.5 L8 12 L10.5 14.5 M13.5 9.5 L16 12 L13.5 14.5",
  aside: "M12 3 a9 9 0 1 0 0.01 0 M6 18 L18 6",
  help: "M12 3 a9 9 0 1 0 0.01 0 M9.5 9.5 a2.5 2.5 0 1 1 3.6 2.2 c-0.8 0.5 -1.1 1 -1.1 1.9 M12 16.8 V17",
  note: "M12 3 a9 9 0 1 0 0.01 0 M12 11 V16.5 M12 7.7 V7.9",
  play: "M7 4.5 L19.5 12 L7 19.5 Z",
  close: "M6 6 L18 18 M18 6 L6 18",
  start: "M19 5 L9 12 L19 19 Z M5.5 5 V19",
  pause: "M8 5 V19 M16 5 V19",
  loop: "M4 12 a7 7 0 0 1 12 -5 L19 10 M19 5 V10 H14 M20 12 a7 7 0 0 1 -12 5 L5 14 M5 19 V14 H10",
  add: "M12 5 V19 M5 12 H19",
  less: "M5 12 H19",
  drop: "M5 7 H19 M10 4 H14 M7 7 L8 20 H16 L17 7",
  up: "M6 15 L12 9 L18 15",
  down: "M6 9 L12 15 L18 9",
  copy: "M8 8 H20 V20 H8 Z M16 8 V4 H4 V16 H8",
  film: "M4 5 H20 V19 H4 Z M8 5 V19 M16 5 V19 M4 12 H20",
  check: "M5 12.5 L10 17.5 L19.5 6.5",
  pen: "M4 20 L5 15.5 L16 4.5 L19.5 8 L8.5 19 Z M13.5 7 L17 10.5",
  pin: "M12 21 C7 15 5.5 12.5 5.5 9.5 a6.5 6.5 0 0 1 13 0 C18.5 12.5 17 15 12 21 Z M12 7 a2.5 2.5 0 1 0 0.01 0",
  more: "M5 12 h0.01 M12 12 h0.01 M19 12 h0.01",
} as const;

export type IconName = keyof typeof DRAWN;

export function Icon({ name }: { name: IconName }) {
  return (
    <svg class="icon" viewBox="0 0 24 24" aria-hidden="true">
      <path d={DRAWN[name]} />
    </svg>
  );
}
