/** @type {import('next').NextConfig} */
export default {
  output: 'standalone',
  poweredByHeader: false,
  reactStrictMode: true,
  typescript: { ignoreBuildErrors: false },
  // The data folder holds the shop's own files: never part of a build.
  outputFileTracingExcludes: { '*': ['./data/**', './tests/**', './e2e/**'] },
}
