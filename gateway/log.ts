/** The log: one JSON line an event on stdout. What came over the network is never logged whole, and no secret at all. */
import { type Logger, pino } from 'pino'

export type Log = Pick<Logger, 'debug' | 'info' | 'warn' | 'error'>

export function openLog(level: string): Logger {
  return pino({ level, base: { name: 'cirewatch' }, timestamp: pino.stdTimeFunctions.isoTime })
}
