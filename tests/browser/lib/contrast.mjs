// Contrast by WCAG 2.2, "relative luminance" and "contrast ratio". Nothing is rounded.

/** The ratio that text must have: success criterion 1.4.6 (AAA). */
export const LEAST_CONTRAST = 7;

/** The relative luminance, 0 to 1, of an sRGB colour whose parts are 0 to 255. */
export function luminance([red, green, blue]) {
  const linear = (part) => {
    const share = part / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  };
  return 0.2126 * linear(red) + 0.7152 * linear(green) + 0.0722 * linear(blue);
}

/** The contrast ratio, 1 to 21, of two opaque colours in either order. */
export function contrast(one, other) {
  const [dark, light] = [luminance(one), luminance(other)].sort((a, b) => a - b);
  return (light + 0.05) / (dark + 0.05);
}

/** Reads a computed colour, `rgb(r, g, b)` or `rgba(r, g, b, a)`, as [r, g, b, alpha]. */
export function readColour(text) {
  const found = text.match(/^rgba?\(([\d.]+), ([\d.]+), ([\d.]+)(?:, ([\d.]+))?\)$/);
  if (!found) {
    throw new Error(`a colour that this check cannot read: ${text}`);
  }
  const [red, green, blue, alpha = "1"] = found.slice(1);
  return [Number(red), Number(green), Number(blue), Number(alpha)];
}

/** What is seen of a colour of the given opacity on an opaque ground. */
export function over([red, green, blue, alpha], ground, opacity = 1) {
  const share = alpha * opacity;
  return [red, green, blue].map((part, index) => part * share + ground[index] * (1 - share));
}
