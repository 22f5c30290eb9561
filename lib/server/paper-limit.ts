import 'server-only'
import { RateLimiterMemory, RateLimiterRes } from 'rate-limiter-flexible'
import { type Refusal, refuse } from '@/lib/units/result'
import { waitWords } from './wait-words'

/** Nobody reads faster; whoever has the address could keep the server busy for everybody with one line of script. */
const A_MINUTE = 20
const drawn = new RateLimiterMemory({ points: A_MINUTE, duration: 60 })

/**
 * Counts a paper that is drawn for somebody who need not sign in.
 * @param key of what they may see (an offer's own key): others do not wait for them
 * @returns null where it may be drawn, else the refusal and the whole seconds to wait (at least 1)
 */
export async function oftenDrawn(key: string): Promise<{ refusal: Refusal; seconds: number } | null> {
  try {
    await drawn.consume(key)
    return null
  } catch (error) {
    if (!(error instanceof RateLimiterRes)) throw error
    return {
      refusal: refuse(
        'too-often',
        `This offer was asked for very often just now: try again in ${waitWords(error.msBeforeNext)}.`,
      ),
      seconds: Math.max(1, Math.ceil(error.msBeforeNext / 1000)),
    }
  }
}
