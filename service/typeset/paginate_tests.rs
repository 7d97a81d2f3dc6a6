//! Tests of paginate.
