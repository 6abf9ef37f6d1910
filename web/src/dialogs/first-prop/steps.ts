/** The steps of the guide, each with the picture that `tests/web/test_page_building.py` takes of it. */

export interface GuideStep {
  readonly picture: string;
  readonly title: string;
  readonly words: string;
  /** What the picture shows, for those who do not see it. */
  readonly seen: string;
}

export const STEPS: readonly GuideStep[] = [
  {
    picture: "begin",
    title: "1. Bring your parts",
    words:
      "Press New, or on a phone Open and New prop, and choose your STL files, all at once. Look at the size before you make the prop: a hand that is 3 m long was drawn in another unit, and you can choose it there.",
    seen: "The box New prop with a small picture of a figure, its size, its unit and a table of its parts.",
  },
  {
    picture: "hang",
    title: "2. Hang the parts on each other",
    words:
      "In Parts choose a part and press Hang elsewhere: the forearm hangs on the upper arm, the hand on the forearm. Nothing moves in the picture; from now on what hangs on a part goes with it.",
    seen: "The panel Parts with the tree of parts, one of which is chosen and outlined in the picture.",
  },
  {
    picture: "joint",
    title: "3. Put each joint on its axis",
    words:
      "In Joints choose a joint, then click or tap in the hole or on the shaft that the part turns on. posekit shows the axis that it found: press Put the joint there. Then turn it by hand, and where it may go no further press Low stop here and High stop here.",
    seen: "The panel Joints with the axis that was found, drawn through the figure.",
  },
  {
    picture: "drive",
    title: "4. Give each joint a drive",
    words:
      "In Drives press Add a drive for each joint. The next free address is offered, and the drive begins with 90° about 1500 µs. Choose a typical servo now and put in the figures of your data sheet later.",
    seen: "The panel Drives with four drives, each with its address, its servo and its joint.",
  },
  {
    picture: "move",
    title: "5. Move it",
    words: "In Channels pull the sliders. Where a slider is hatched the joint pushes against a stop: go to Calibration and bring the end points in.",
    seen: "The panel Channels with four sliders, and the figure in another pose.",
  },
  {
    picture: "bench",
    title: "6. Fit the horns and look at the pace",
    words:
      "In Bench press All to 1500 µs: this is how the figure stands when you fit the horns. Press Swing to see one drive go from end to end, and change its speed and acceleration while it does.",
    seen: "The panel Bench while one drive swings, with the sliders for speed and acceleration.",
  },
  {
    picture: "check",
    title: "7. Check it before a wire is run",
    words:
      "In Clearance let posekit look at everything that the end points allow. It tells which parts can strike, and which end points keep them apart. Findings lists the rest.",
    seen: "The panel Clearance with the verdicts on the pairs of parts.",
  },
  {
    picture: "share",
    title: "8. Keep it and share it",
    words: "Save puts the prop into a folder or a zip. Share says who can open this page, and gives you a link or a file to send, so that others see this pose.",
    seen: "The box Share.",
  },
];
