/** Who can open the address of this page. */

/** This machine alone; whoever is in the same network; anyone. */
export type Reach = "machine" | "network" | "anyone";

const REACHES: readonly string[] = ["machine", "network", "anyone"] satisfies Reach[];

/** What the server says of itself in `data-served` of the page; where it says nothing, what the address tells. */
export function reach(): Reach {
  const said = document.documentElement.dataset["served"] ?? "";
  return REACHES.includes(said) ? (said as Reach) : reachOf(location);
}

function reachOf({ protocol, hostname }: Location): Reach {
  if (!/^https?:$/.test(protocol)) return "machine"; // a file, or what an app of this machine makes up
  const name = hostname.replace(/^\[|\]$/g, "").toLowerCase();
  if (/^127\.|^::1$|^localhost$|\.localhost$/.test(name)) return "machine";
  // Addresses of networks that nothing leads to from outside (RFC 1918, 3927, 4193, 4291), and names that only one's own network knows (RFC 6762).
  const ownNetwork = /^10\.|^192\.168\.|^172\.(1[6-9]|2\d|3[01])\.|^169\.254\.|^f[cd][0-9a-f]{2}:|^fe[89ab][0-9a-f]:|\.local$/;
  return ownNetwork.test(name) || (!name.includes(".") && !name.includes(":")) ? "network" : "anyone";
}
