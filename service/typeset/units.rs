//! The units of the typesetter: everything is a fraction of the disc's diameter. Knows no text.

/// A length as a fraction of the disc's diameter, which is CSS's `vmin` divided by 100.
pub type Diameters = f64;

/// What no ink comes nearer to the rim than, as reckoned: browsers put baselines on whole pixels and
/// round a font's ascent and descent to such, which moves ink by up to a pixel. 0.52 % of the
/// diameter: a pixel of 192, 0.16 mm of 30.5.
pub const SAFETY_MARGIN: Diameters = 0.0052;

/// The least height of anything that is tapped: 7 mm of a disc of 30.5 mm, below which errors
/// rise (Park and Han, International Journal of Industrial Ergonomics 40:68, 2010).
pub const LEAST_TARGET: Diameters = 0.23;

/// The height of what is tapped most: 9.2 mm of 30.5 mm, enough for single taps with the thumb
/// (Parhi, Karlson and Bederson, MobileHCI 2006, p. 203).
pub const WIDE_TARGET: Diameters = 0.302;
