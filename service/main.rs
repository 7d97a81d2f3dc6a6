//! tondo.
fn main() {}
