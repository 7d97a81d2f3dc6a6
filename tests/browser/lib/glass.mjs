// Where the disc of a screen stands in a view, what a browser's bar leaves of it, and on what ground its text stands,
// by the name of the screen. It measures nothing.

/**
 * What the name of a screen, the first part of a path, says.
 * @returns {{share: number, edge: "none" | "top" | "bottom", ground: number}} How much of the diameter the bar takes, and
 *   all three parts of the ground's colour.
 */
export function glassOf(path) {
  const [screen] = path.split("/").filter((part) => part !== "");
  const [, edge = "none", hundredths = "0"] = screen?.match(/-(top|bottom)(\d+)/) ?? [];
  return { share: Number(hundredths) / 100, edge, ground: /-light$/.test(screen ?? "") ? 255 : 0 };
}

/** The disc in a view: its diameter and its middle, and where of a section it is seen, in CSS pixels. */
export function discIn({ share, edge }, { width, height }) {
  if (edge === "none") {
    return { diameter: Math.min(width, height), x: width / 2, y: height / 2, top: 0, bottom: height };
  }
  const diameter = Math.min(width, height / (1 - share));
  const y = edge === "top" ? height - diameter / 2 : diameter / 2;
  return {
    diameter,
    x: width / 2,
    y,
    top: edge === "top" ? y - (0.5 - share) * diameter : 0,
    bottom: edge === "bottom" ? y + (0.5 - share) * diameter : height,
  };
}
