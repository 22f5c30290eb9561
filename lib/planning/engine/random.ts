/** Seeded random numbers (xoshiro128**, Blackman and Vigna 2018): the same seed gives the same numbers everywhere. */
export class Random {
  private readonly s = new Uint32Array(4)

  constructor(seed: number) {
    // The state is filled by splitmix32, so that near seeds start far apart.
    let z = seed >>> 0
    for (let i = 0; i < 4; i++) {
      z = (z + 0x9e3779b9) >>> 0
      let x = z
      x = Math.imul(x ^ (x >>> 16), 0x85ebca6b)
      x = Math.imul(x ^ (x >>> 13), 0xc2b2ae35)
      this.s[i] = (x ^ (x >>> 16)) >>> 0
    }
  }

  private bits(): number {
    const s = this.s
    const s1 = s[1]!
    const x = Math.imul(s1, 5)
    const result = Math.imul((x << 7) | (x >>> 25), 9) >>> 0
    const t = s1 << 9
    s[2]! ^= s[0]!
    s[3]! ^= s1
    s[1]! ^= s[2]!
    s[0]! ^= s[3]!
    s[2]! ^= t
    const s3 = s[3]!
    s[3] = (s3 << 11) | (s3 >>> 21)
    return result
  }

  /** In [0, 1). */
  next(): number {
    return this.bits() / 4294967296
  }

  /** A whole number in [0, n). */
  below(n: number): number {
    return Math.floor(this.next() * n)
  }

  /** From the normal distribution (Box and Muller 1958). */
  normal(): number {
    return Math.sqrt(-2 * Math.log(1 - this.next())) * Math.cos(2 * Math.PI * this.next())
  }
}
