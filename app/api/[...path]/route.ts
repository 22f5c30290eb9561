/**
 * An address that is none. Without this the framework draws its page for it, and takes whatever is sent there for a form of that page:
 * one that cannot be read would be a fault.
 */
const none = () =>
  Response.json(
    { ok: false, message: 'There is nothing at this address.' },
    { status: 404, headers: { 'Cache-Control': 'no-store' } },
  )

export {
  none as DELETE,
  none as GET,
  none as HEAD,
  none as OPTIONS,
  none as PATCH,
  none as POST,
  none as PUT,
}
