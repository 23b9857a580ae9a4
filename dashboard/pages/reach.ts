/** Which address an instrument should be given for the broker, as far as this page can know it. */

export interface Reach {
  host: string
  /** True where only programs on the gateway's own machine get through. */
  onlyHere: boolean
}

const everywhere: ReadonlySet<string> = new Set(['', '0.0.0.0', '::'])

function isLoopbackName(host: string): boolean {
  return host === 'localhost' || host === '::1' || /^127\./.test(host)
}

/** A broker that listens everywhere is told by the name this page was reached by, unless that name means only the machine itself. */
export function reachOf(mqtt: { host: string | null; loopback: boolean }, pageHost: string): Reach {
  if (mqtt.loopback) return { host: '127.0.0.1', onlyHere: true }
  const page = pageHost.replace(/^\[|\]$/g, '')
  const named = mqtt.host ?? ''
  if (!everywhere.has(named)) return { host: named, onlyHere: false }
  return { host: isLoopbackName(page) ? '<address of this machine>' : page, onlyHere: false }
}
