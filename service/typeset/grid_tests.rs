//! Grids: which tables make one, where their cells stand, and what goes along.
