/** Short help at each panel, by its id: what it is for, in plain words. */

export const HELP: Readonly<Record<string, string>> = {
  channels:
    "Moves the figure as a lighting desk would: one slider a drive, from value 0 to full. Beside it stand the pulse that the servo gets and the position that its joint takes. Hatched stretches push against a hard stop.",
  calibration:
    "Says how far values take a drive: its end points, its trim, and what its servo and its linkage are. Change a number and the figure stands so at once. Measured servos come from the Bench.",
  parts:
    "Shows what the figure is made of and what hangs on what. Parts that hang on another move with it. Add, rename, hang elsewhere or remove a part here; nothing moves in the picture when you hang it elsewhere.",
  joints:
    "A joint holds a part on another and says about which line it turns or along which it slides. Click or tap the hole of a hinge in the picture, and the line is read off its wall; the parts stay where they are. Then turn the part by hand to see that it is right, and set the hard stops where it comes to them.",
  drives: "Gives a joint its servo. A drive is one servo at one address, with the joint that it moves. A new one begins with 90° about 1500 µs.",
  bench:
    "For the time when the figure lies open: poses to fit horns by, one drive that swings so that you see its way and its pace, and a table for what you measure of a servo. Only the picture moves; nothing is sent to the figure.",
  looks: "Keeps poses by name with the prop, takes snapshots that others send you, and gives out yours as CSV or JSON.",
  notes:
    "What a director noted in the file that you sent them: a look that is right or wants a change, a place on a part, a time of a show. Each leads to what it belongs to. Tick off what is done and say what you did: the next file shows it.",
  clearance:
    "Tells which parts come too near to each other, in this pose and over all that the end points allow. “Clear” is said of pairs that were judged; what was left out is listed.",
  strength:
    "Tells how hard each servo has to hold what hangs on it: in this pose, at most over all that the end points allow, and over a show. Below a third to a half of its stall torque a servo keeps cool. It tells where parts fall to when servos let go, what becomes of the pose when values stop coming, and what each supply has to give, with the fuse and wire that follow.",
  motion:
    "Values jump, servos do not. Open a show, or begin one with a cue, to see when the figure lags behind, how fast it goes, and whether parts strike on the way.",
  sheets:
    "For whoever wires and sets the figure: paper with all addresses and pulses, cards to set each drive by eye and stopwatch, pictures of all looks, and a table that you fill in at the figure and compare with the prop file. Nothing here changes the prop.",
  findings: "Lists what is wrong or doubtful about the prop, worst first, each with what to do. No finding is no proof of safety.",
};
