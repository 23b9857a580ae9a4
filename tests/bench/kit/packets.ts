/** MQTT packets made beforehand, so that a bench measures the gateway and not the one who calls it. */
import mqttPacket from 'mqtt-packet'

export const seriesCount = 64

export function instrumentOf(series: number): string {
  return `probe-${series}`
}

export function connectPacket(clientId: string): Buffer {
  return mqttPacket.generate({
    cmd: 'connect',
    clientId,
    protocolId: 'MQTT',
    protocolVersion: 4,
    clean: true,
    keepalive: 0,
  })
}

/** The reading number `n` of one series: a calm pot, with a tenth of a degree of noise that repeats. */
export function readingPacket(series: number, at: number, n: number, messageId: number): Buffer {
  const celsius = Math.round((900 + ((n * 7919 + series * 104_729) % 13)) * 10) / 100
  return mqttPacket.generate({
    cmd: 'publish',
    topic: `cirewatch/${instrumentOf(series)}/reading`,
    payload: JSON.stringify({ at, celsius }),
    qos: 1,
    messageId,
    dup: false,
    retain: false,
  })
}
