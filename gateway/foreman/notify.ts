/** Notices for lamps, horns and scripts: each standing alarm retained on MQTT, and a heartbeat by which a dead gateway can be told. */
import { type Alarm, alarmTopic, heartbeatMs, heartbeatTopic } from '../../shared/contract/index.ts'
import type { Clock } from '../../shared/time.ts'

export interface NotifyParts {
  clock: Clock
  say: (topic: string, payload: string, retain: boolean) => void
  sentence: (alarm: Alarm) => string
}

/** Topic of an alarm: what is found, and about what. `+` and `#` may not stand in a topic; no subject holds them. */
function topicOf(alarm: Alarm): string {
  return alarmTopic(alarm.station, `${alarm.kind}~${alarm.subject}`)
}

export class Notify {
  readonly #parts: NotifyParts
  #stop: () => void = () => {}

  constructor(parts: NotifyParts) {
    this.#parts = parts
  }

  /** Says what stands, which a broker without a memory has forgotten, and begins to beat. */
  begin(standing: readonly Alarm[]): void {
    for (const alarm of standing) this.alarm(alarm)
    this.#beat()
  }

  alarm(alarm: Alarm): void {
    // An empty retained message takes the old one away (MQTT 3.1.1, 3.3.1.3).
    this.#parts.say(topicOf(alarm), alarm.state === 'normal' ? '' : this.#text(alarm), true)
  }

  #text(alarm: Alarm): string {
    return JSON.stringify({
      id: alarm.id,
      station: alarm.station,
      finding: alarm.kind,
      state: alarm.state,
      priority: alarm.answer.tier,
      since: new Date(alarm.finding.since).toISOString(),
      sentence: this.#parts.sentence(alarm),
      consequence: alarm.answer.consequence,
      action: alarm.answer.action,
      respondMinutes: alarm.answer.respondMinutes,
    })
  }

  #beat(): void {
    const { clock, say } = this.#parts
    say(heartbeatTopic, JSON.stringify({ at: new Date(clock.now()).toISOString() }), false)
    this.#stop = clock.after(heartbeatMs * Math.max(1, clock.pace), () => this.#beat())
  }

  end(): void {
    this.#stop()
  }
}
