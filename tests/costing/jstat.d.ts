declare module 'jstat' {
  const jstat: { binomial: { cdf(k: number, n: number, p: number): number } }
  export default jstat
}
