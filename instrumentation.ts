import type { Instrumentation } from 'next'

export async function register() {
  if (process.env.NEXT_RUNTIME !== 'nodejs') return
  const { log, takeInConsole } = await import('@/lib/server/log')
  if (process.env.NODE_ENV === 'production') takeInConsole()
  const { listenToParent } = await import('@/lib/server/supervisor')
  listenToParent()
  log.info({ process: process.pid }, 'opened')
}

/** Every fault that the framework caught while it made an answer: the code in its line stands on the person's page, too. */
export const onRequestError: Instrumentation.onRequestError = async (error, request, context) => {
  if (process.env.NEXT_RUNTIME !== 'nodejs') return
  const { addressWithoutSecrets, logFault } = await import('@/lib/server/log')
  const code = (error as { digest?: string }).digest
  logFault(code, `${request.method} ${addressWithoutSecrets(request.path)} (${context.routeType})`, error)
}
