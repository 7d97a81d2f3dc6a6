// Random numbers that are the same on every machine for the same seed. It knows of nothing else.

/** A small generator: xorshift on 32 bits with the shifts 13, 17, 5 (Marsaglia 2003, "Xorshift RNGs"). */
export class Random {
  constructor(seed) {
    // Nought is the one state that xorshift never leaves.
    this.state = seed >>> 0 || 1;
    // Small seeds have few bits set, and so have the first numbers that follow from them.
    for (let turn = 0; turn < 16; turn += 1) {
      this.next();
    }
  }

  /** A whole number from 1 to 2^32 - 1. */
  next() {
    let state = this.state;
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    this.state = state >>> 0;
    return this.state;
  }

  /** A whole number from `least` to `most`, both among them. */
  between(least, most) {
    return least + (this.next() % (most - least + 1));
  }

  /** True in `share` of all cases, 0 to 1. */
  chance(share) {
    return this.next() < share * 2 ** 32;
  }

  pick(list) {
    return list[this.between(0, list.length - 1)];
  }

  /** One value of `{value: weight, ...}`, by its weight. */
  weighted(weights) {
    const all = Object.values(weights).reduce((sum, weight) => sum + weight, 0);
    let left = this.between(1, all);
    for (const [value, weight] of Object.entries(weights)) {
      left -= weight;
      if (left <= 0) {
        return value;
      }
    }
    throw new Error("weights that are no whole numbers");
  }

  /** So many values, each made anew by `make(index)`. */
  several(least, most, make) {
    return Array.from({ length: this.between(least, most) }, (_, index) => make(index));
  }
}
