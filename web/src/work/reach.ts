/** Who can open the address of this page. */

/** This machine alone; whoever is in the same network, or in one with a way into it; whoever can open the site. */
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
  // Addresses that the web has no way to (RFC 1918, 3927, 4193, 4291, 6598), and names that only networks of one's own know (RFC 6762, 8375, and by use).
  const addresses = /^10\.|^192\.168\.|^172\.(1[6-9]|2\d|3[01])\.|^169\.254\.|^100\.(6[4-9]|[7-9]\d|1[01]\d|12[0-7])\.|^f[cd][0-9a-f]{2}:|^fe[89ab][0-9a-f]:/;
  const names = /\.(local|lan|internal|home|corp|intranet|home\.arpa)$/;
  return addresses.test(name) || names.test(name) || (!name.includes(".") && !name.includes(":")) ? "network" : "anyone";
}
