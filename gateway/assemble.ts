/** The one place where rooms meet: a whole gateway from its settings and the things it touches. Builds; `open` listens. */
import {
  type DiskRoom,
  type Instrument,
  seriesMax,
  splitSeriesId,
  type Welcome,
  watchEveryMs,
} from '../shared/contract/index.ts'
import { meaningOf } from '../shared/judge/index.ts'
import { pressureAtPa } from '../shared/physics/humidity.ts'
import type { Clock, EpochMs } from '../shared/time.ts'
import { alarmSentence, speechOf } from '../shared/words/index.ts'
import type { Config } from './config.ts'
import { Answer } from './foreman/answer.ts'
import { Bench } from './foreman/bench.ts'
import { Foreman } from './foreman/foreman.ts'
import { Notify } from './foreman/notify.ts'
import { isLoopback } from './loopback.ts'
import { reviewOf } from './http/routes/nights.ts'
import type { Rooms } from './http/rooms.ts'
import { type App, buildServer } from './http/server.ts'
import { ClockWatch } from './intake/clockwatch.ts'
import { type Climate, type Directory, EntryMaker, KnownSeries } from './intake/entries.ts'
import { Again } from './intake/again.ts'
import { Formats, sparkplugFilter } from './intake/formats/index.ts'
import { Intake } from './intake/intake.ts'
import { Overheard } from './intake/overheard.ts'
import { Hub } from './live/hub.ts'
import type { Log } from './log.ts'
import { MailLedger } from './mail/ledger.ts'
import { NightMail } from './mail/night-mail.ts'
import { Post } from './mail/post.ts'
import { mailPlanOf } from './mail/settings.ts'
import type { Inlet } from './mqtt/inlet.ts'
import type { Store } from './store/store.ts'
import type { BackupPlace } from './upkeep/backups.ts'
import { Upkeep } from './upkeep/upkeep.ts'

export interface Parts {
  clock: Clock
  inlet: Inlet
  store: Store
  log: Log
  /** What was built, and when: a clock before that is wrong. */
  build: { version: string; builtAt: EpochMs }
  /** Folder of the built dashboard. */
  dashboard: string
  /** Where backups go; absent where none are made. */
  backups?: BackupPlace
  /** Room on the disk of the database; absent where there is no database. */
  disk?: () => DiskRoom
}

export interface Gateway {
  readonly rooms: Rooms
  readonly http: App
  /** Folds what is stored, lets instruments in, serves pages. Resolves with where. */
  open(): Promise<{ http: string; mqtt: string }>
  /** Resolves when everything that came is on disk and judged. */
  settled(): Promise<void>
  /** Takes nothing more, flushes and acknowledges what came, says good-bye. */
  close(): Promise<void>
}

export async function assemble(config: Config, parts: Parts): Promise<Gateway> {
  const { clock, inlet, store, build } = parts
  let recovered = false
  const knowsTime = (now: EpochMs) => now >= build.builtAt

  const directory: Directory = {
    thermocoupleOf: (instrument) => claimedAs(foreman, instrument)?.thermocouple,
    climateOf: (instrument) => climateOf(foreman, instrument),
    numberUnitOf: (instrument) => claimedAs(foreman, instrument)?.numberUnit,
    isClaimed: (instrument) => foreman.house.rules.instrumentAt.has(instrument),
  }
  const names = new KnownSeries(
    seriesMax,
    (await store.summaries()).flatMap(({ series }) => splitSeriesId(series) ?? []),
  )
  const formats = new Formats([])
  const overheard = new Overheard()
  const maker = new EntryMaker({
    watch: new ClockWatch(knowsTime, seriesMax),
    directory,
    names,
    formats,
    overheard,
    say: (topic, payload) => inlet.say(topic, payload, false),
  })
  const readMappings = () => {
    const mappings = foreman.house.rules.foundry.mappings ?? []
    formats.adopt(mappings)
    inlet.alsoTake([sparkplugFilter, ...mappings.map(({ topic }) => topic)])
  }
  const intake: Intake = new Intake({ store, clock, maker, observe: (entries) => foreman.observe(entries) })
  const record = intake.record.bind(intake)

  const notify = new Notify({
    clock,
    say: (topic, payload, retain) => inlet.say(topic, payload, retain),
    sentence: (alarm) => alarmSentence(alarm, speechOf(foreman.house.rules.foundry)),
  })
  const foreman: Foreman = new Foreman({
    store,
    clock,
    record,
    told: {
      reading: (entry, value, quality) => hub.reading(entry, value, quality),
      moved: (station) => hub.station(station),
      foundry: () => {
        readMappings()
        hub.foundry()
      },
      counted: () => hub.counts(),
      upTo: (seq) => hub.upTo(seq),
      changes: (changes) => {
        for (const station of changes.stations) hub.station(station)
        for (const alarm of changes.alarms) {
          hub.alarm(alarm)
          notify.alarm(alarm)
        }
      },
    },
  })
  const hub: Hub = new Hub(
    clock,
    {
      clock: () => ({ now: clock.now(), pace: clock.pace, known: knowsTime(clock.now()) }),
      station: (id) => foreman.viewOf(id),
      foundry: () => ({ revision: foreman.house.rules.revision, foundry: foreman.house.rules.foundry }),
      counts: () => counts(foreman),
      welcome: () => welcome(foreman, build.version),
    },
    store.head(),
  )
  const tell = (sentence: string, isTrouble: boolean) =>
    isTrouble ? parts.log.warn(sentence) : parts.log.info(sentence)
  const upkeep = new Upkeep({
    store,
    clock,
    knowsTime: () => knowsTime(clock.now()),
    record: intake.recordNow.bind(intake),
    tell,
    backups: parts.backups ? { place: parts.backups, everyHours: config.backupHours, keep: config.backupKeep } : null,
    keepDays: config.keepDays ?? null,
    data: parts.disk ? config.data : null,
    disk: () => parts.disk?.() ?? null,
  })
  const answer = new Answer({ foreman, store, clock, record: intake.recordNow.bind(intake) })
  const rooms: Rooms = {
    clock,
    store,
    foreman,
    answer,
    bench: new Bench({ foreman, store, clock, answer, record: intake.recordNow.bind(intake) }),
    hub,
    upkeep,
    log: parts.log,
    mail: () => mail?.told() ?? null,
    intake: () => intake.state(),
    again: new Again({ store, clock, record: intake.recordNow.bind(intake), admit: names.admit.bind(names) }),
    overheard: (instrument) => overheard.of(instrument),
    inlet: () => inlet.state(),
    record: intake.recordNow.bind(intake),
    admit: names.admit.bind(names),
    knowsTime: () => knowsTime(clock.now()),
    recovered: () => recovered,
    version: build.version,
    mqttSecured: config.mqttName !== undefined,
  }
  const plan = mailPlanOf(config)
  const mail =
    plan &&
    new NightMail({
      plan,
      post: new Post(plan),
      store,
      clock,
      knowsTime: rooms.knowsTime,
      record: rooms.record,
      foundry: () => foreman.house.rules.foundry,
      review: (night) => reviewOf(rooms, night),
      tell,
    })
  const mailOff = () =>
    new MailLedger({ store, record: rooms.record })
      .off(clock.now())
      .catch((error: unknown) => parts.log.warn({ err: error }, 'it is not written down that the mail is off'))
  const http = await buildServer(rooms, {
    loopback: isLoopback(config.http.host),
    token: config.bootstrapToken,
    dashboard: parts.dashboard,
  })

  let stopElapsing = () => {}
  const elapse = () => {
    intake.elapse()
    stopElapsing = clock.after(watchEveryMs * Math.max(1, clock.pace / 10), elapse)
  }

  return {
    rooms,
    http,
    async open() {
      await foreman.recover()
      readMappings()
      await inlet.open((publish, done) => intake.offer(publish, done))
      notify.begin(foreman.alarms())
      recovered = true
      upkeep.begin()
      if (mail) mail.begin()
      else void mailOff()
      elapse()
      const address = await http.listen(config.http)
      return { http: address, mqtt: inlet.state().address }
    },
    async settled() {
      await Promise.all([upkeep.settled(), mail?.settled()])
      await intake.settled()
    },
    async close() {
      notify.end()
      stopElapsing()
      hub.close()
      await Promise.all([upkeep.end(), mail?.end()])
      // First on disk and acknowledged, then the lines are cut: a device without `at` would send again what it was not told is safe.
      await intake.close()
      await acknowledgementsLeft(clock)
      await inlet.close()
      await foreman.close()
      await http.close()
      await store.close()
    },
  }
}

/** A broker writes its acknowledgements in the turns after the commit. */
async function acknowledgementsLeft(clock: Clock): Promise<void> {
  for (let turn = 0; turn < 8; turn++) await new Promise<void>((resolve) => clock.soon(resolve))
}

function claimedAs(foreman: Foreman, instrument: string): Instrument | undefined {
  const { instrumentAt, stations } = foreman.house.rules
  const at = instrumentAt.get(instrument)
  return at && stations[at.station]?.instruments[at.instrument]
}

function climateOf(foreman: Foreman, instrument: string): Climate | undefined {
  const { foundry } = foreman.house.rules
  const claimed = claimedAs(foreman, instrument)
  if (claimed?.kind !== 'climate') return undefined
  const pressurePa = pressureAtPa(foundry.site.elevationM)
  return pressurePa === null ? undefined : { meaning: meaningOf(claimed, 'temperature'), pressurePa }
}

function counts(foreman: Foreman): Welcome['counts'] {
  return { unreadable: foreman.unreadable, unclaimed: foreman.strangers.size }
}

function welcome(foreman: Foreman, version: string): Omit<Welcome, 'is' | 'seq' | 'head' | 'resumed' | 'clock'> {
  return {
    version,
    foundryRevision: foreman.house.rules.revision,
    foundry: foreman.house.rules.foundry,
    latest: foreman.latest(),
    stations: foreman.stationViews(),
    alarms: [...foreman.alarms()],
    counts: counts(foreman),
  }
}
