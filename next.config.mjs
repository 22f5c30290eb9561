/** What every answer tells the browser: take nothing for what it is not, tell other sites nothing, be framed by nobody. */
const headers = [
  { key: 'X-Content-Type-Options', value: 'nosniff' },
  { key: 'Referrer-Policy', value: 'same-origin' },
  { key: 'X-Frame-Options', value: 'DENY' },
  { key: 'Cross-Origin-Opener-Policy', value: 'same-origin' },
  { key: 'Permissions-Policy', value: 'geolocation=(), microphone=(), payment=()' },
]

/** Answers that are no pages (pictures, files, data) may load and run nothing at all. Pages get theirs in proxy.ts. */
const lifeless = {
  key: 'Content-Security-Policy',
  value: "default-src 'none'; style-src 'unsafe-inline'; frame-ancestors 'none'; sandbox",
}

/** @type {import('next').NextConfig} */
export default {
  output: 'standalone',
  poweredByHeader: false,
  reactStrictMode: true,
  // `npm test` checks types on its own; a shop that starts need not wait for it.
  typescript: { ignoreBuildErrors: true },
  // A table of customers or blanks is sent as the text of its file.
  experimental: { serverActions: { bodySizeLimit: '4mb' } },
  // The data folder holds the shop's own files: never part of a build.
  outputFileTracingExcludes: { '*': ['./data/**', './tests/**', './e2e/**'] },
  // The fonts of the PDFs are read as files, so nothing imports them.
  outputFileTracingIncludes: { '/**': ['./node_modules/pdfmake/build/fonts/Roboto/*.ttf'] },
  headers: async () => [
    { source: '/:path*', headers },
    { source: '/api/:path*', headers: [lifeless] },
  ],
}
