//! What an article is. PURE: bytes in, values and warnings out.

pub mod block;
pub mod decode;
pub mod flatten;
pub mod language;
