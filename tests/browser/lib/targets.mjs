// How large targets are to a finger, and whether WCAG 2.2 lets them stand so. It opens no page.

/** The least side of a target in CSS pixels: WCAG 2.2, 2.5.8 (level AA), where nothing is said of its spacing. */
export const MINIMUM_PX = 24;

/** The same: WCAG 2.2, 2.5.5 (level AAA). */
export const ENHANCED_PX = 44;

/** So many CSS pixels on a disc of a diameter in millimetres that is so many CSS pixels wide, in millimetres. */
export function millimetres(px, { diameter, pixels }) {
  return (px * diameter) / pixels;
}

/** The smaller side of a box. */
export function side({ left, right, top, bottom }) {
  return Math.min(right - left, bottom - top);
}

/**
 * The boxes that fail WCAG 2.2, 2.5.8: smaller than its minimum, and with another target, or another small target's circle
 * of that diameter, within their own circle. Circles that touch do not intersect.
 */
export function tooSmall(boxes) {
  const middle = ({ left, right, top, bottom }) => ({ x: (left + right) / 2, y: (top + bottom) / 2 });
  const isSmall = (box) => side(box) < MINIMUM_PX;
  const away = ({ x, y }, { left, right, top, bottom }) =>
    Math.hypot(Math.max(left - x, 0, x - right), Math.max(top - y, 0, y - bottom));
  const meets = (box, other) => {
    const [one, two] = [middle(box), middle(other)];
    const circles = isSmall(other) && Math.hypot(one.x - two.x, one.y - two.y) < MINIMUM_PX;
    return circles || away(one, other) < MINIMUM_PX / 2;
  };
  return boxes.filter((box) => isSmall(box) && boxes.some((other) => other !== box && meets(box, other)));
}
