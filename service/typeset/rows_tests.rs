//! Tests of rows.
