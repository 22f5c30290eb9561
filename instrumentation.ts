export async function register() {
  if (process.env.NEXT_RUNTIME !== 'nodejs') return
  const { listenToParent } = await import('@/lib/server/supervisor')
  listenToParent()
}
