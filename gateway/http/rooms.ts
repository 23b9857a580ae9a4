/** What the pages and scripts may ask of the house: the doors that the routes knock at. */
import type { MailTold, NewEntry, Quantity } from '../../shared/contract/index.ts'
import type { Answer } from '../foreman/answer.ts'
import type { Bench } from '../foreman/bench.ts'
import type { Foreman } from '../foreman/foreman.ts'
import type { Again } from '../intake/again.ts'
import type { IntakeState } from '../intake/intake.ts'
import type { Message } from '../intake/overheard.ts'
import type { Hub } from '../live/hub.ts'
import type { Log } from '../log.ts'
import type { InletState } from '../mqtt/inlet.ts'
import type { Fate, Store } from '../store/store.ts'
import type { Upkeep } from '../upkeep/upkeep.ts'
import type { Clock } from '../../shared/time.ts'

export interface Rooms {
  clock: Clock
  store: Store
  foreman: Foreman
  answer: Answer
  bench: Bench
  hub: Hub
  upkeep: Upkeep
  log: Log
  /** The nightly mail; null where none is set up. */
  mail(): MailTold | null
  intake(): IntakeState
  /** Reads again what was kept. */
  again: Again
  /** The newest message of somebody who is not claimed. */
  overheard(instrument: string): Message | undefined
  inlet(): InletState
  /** Has entries remembered; rejects with the fault `not-on-disk` where the disk does not take them. */
  record(entries: NewEntry[]): Promise<Fate[]>
  /** The id of a series; null where there is no room for another one. */
  admit(instrument: string, quantity: Quantity): string | null
  /** False where the gateway's clock is earlier than its build. */
  knowsTime(): boolean
  /** True once everything stored is folded and instruments are listened to. */
  recovered(): boolean
  version: string
  /** Whether MQTT asks for a name and password. */
  mqttSecured: boolean
}
