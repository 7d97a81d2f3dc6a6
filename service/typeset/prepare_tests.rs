//! Tests of prepare.
