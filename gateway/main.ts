/** Starts a gateway: reads the settings, opens what it touches, listens, and stops cleanly when asked. */
import { existsSync, mkdirSync, readFileSync } from 'node:fs'
import { createServer } from 'node:net'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { stopMsMax } from '../shared/contract/index.ts'
import type { Clock } from '../shared/time.ts'
import { assemble, type Gateway } from './assemble.ts'
import { LedClock, siteClock } from './clock.ts'
import { type Config, ConfigRefusal, type Endpoint, readConfig, settingsHelp, shownConfig } from './config.ts'
import { openLog } from './log.ts'
import { EmbeddedBroker } from './mqtt/broker.ts'
import type { Inlet } from './mqtt/inlet.ts'
import { Subscriber } from './mqtt/subscriber.ts'
import { StoreRefusal } from './store/refusal.ts'
import { Backups } from './store/sqlite/keeping/backups.ts'
import { diskRoom } from './store/sqlite/keeping/disk.ts'
import { openSqliteStore } from './store/sqlite/sqlite.ts'

/** Exit codes of INTERFACE: 0 done, 1 crash, 78 bad configuration (EX_CONFIG of sysexits.h). */
const exitCrash = 1
const exitConfig = 78

interface Stamp {
  version: string
  builtAt: number
}

/** Folder of everything built; this file lies in `gateway/` of it. */
const buildFolder = fileURLToPath(new URL('..', import.meta.url))

function readStamp(): Stamp {
  return JSON.parse(readFileSync(join(buildFolder, 'stamp.json'), 'utf8')) as Stamp
}

function openInlet(config: Config, clock: Clock): Inlet {
  const who =
    config.mqttName !== undefined && config.mqttPassword !== undefined
      ? { name: config.mqttName, password: config.mqttPassword }
      : {}
  if (config.broker !== undefined) return new Subscriber({ url: config.broker, clock, ...who })
  return new EmbeddedBroker({ ...config.mqtt, clock, ...who })
}

/** One sentence for whoever started it, also over the line to a parent that leads the clock. */
function refuse(sentence: string, code: number): never {
  process.stderr.write(`${sentence}\n`)
  process.send?.({ refused: sentence })
  process.exit(code)
}

function sentenceFor(error: unknown, config: Config): string | null {
  if (error instanceof ConfigRefusal || error instanceof StoreRefusal) return error.message
  const { code, port, path, syscall } = error as NodeJS.ErrnoException & { port?: number }
  if (code === 'EADDRINUSE') {
    const flag = port === config.http.port ? '--http' : '--mqtt'
    return `Port ${port} is taken by another program; stop it, or choose another with ${flag} HOST:PORT.`
  }
  if (code === 'EADDRNOTAVAIL')
    return `This machine has no address ${config.http.host} or ${config.mqtt.host}; check --http and --mqtt.`
  if (code === 'EACCES' && port !== undefined)
    return `Port ${port} may not be opened by this user; choose one above 1023.`
  if (
    syscall === 'mkdir' ||
    code === 'EACCES' ||
    code === 'EROFS' ||
    code === 'EPERM' ||
    code === 'ENOTDIR' ||
    code === 'EEXIST'
  )
    return `The data folder cannot be written: ${path ?? config.data}; check its owner, or choose another with --data DIR.`
  return null
}

/** A parent may lead the clock: a recorded night then passes as fast as it can be judged. */
function beLed(clock: LedClock, gateway: Gateway): void {
  let turn = Promise.resolve()
  process.on('message', (message: { lead?: { at: number; pace: number } }) => {
    const { lead } = message
    if (!lead) return
    turn = turn.then(async () => {
      await clock.lead(lead.at, lead.pace, () => gateway.settled())
      process.send?.({ at: lead.at })
    })
  })
  process.on('disconnect', () => process.kill(process.pid, 'SIGTERM'))
}

function stopCleanly(gateway: Gateway, log: ReturnType<typeof openLog>): void {
  let stopping = false
  const stop = (signal: string) => {
    if (stopping) return
    stopping = true
    log.info({ signal }, 'stopping: flushing what came')
    const hard = siteClock().after(stopMsMax, () => process.exit(exitCrash))
    gateway.close().then(
      () => {
        hard()
        process.exit(0)
      },
      (error: unknown) => {
        log.error({ err: error }, 'stopping failed')
        process.exit(exitCrash)
      },
    )
  }
  process.on('SIGTERM', () => stop('SIGTERM'))
  process.on('SIGINT', () => stop('SIGINT'))
}

/** Rejects as `listen` does where the port is taken or the address is not ours. */
async function mustBeFree({ host, port }: Endpoint): Promise<void> {
  const server = createServer()
  await new Promise<void>((resolve, reject) => server.once('error', reject).listen(port, host, resolve))
  await new Promise((resolve) => server.close(resolve))
}

/** Step by step: Node's own way of making all at once never ends on a file system that says "no such folder" to it, such as /proc. */
function makeFolder(path: string): void {
  if (existsSync(path)) return
  makeFolder(dirname(path))
  mkdirSync(path)
}

/** Where a person's browser finds it. */
function pageOf(address: string, { http: { host } }: Config): string {
  const everywhere = host === '0.0.0.0' || host === '::'
  return everywhere ? `http://<address of this machine>:${new URL(address).port}/` : `${address}/`
}

function backupsOf({ backups: folder, data }: Config): { backups?: Backups } {
  if (folder === undefined) return {}
  const script = new URL('./store/sqlite/keeping/backup-child.js', import.meta.url)
  return { backups: new Backups({ source: join(data, 'cirewatch.db'), folder, script }) }
}

async function start(config: Config): Promise<void> {
  const log = openLog(config.log)
  const stamp = readStamp()
  const clock = config.clock === 'led' ? new LedClock() : siteClock()
  // Whoever leads the clock may lead it through a night before the build; only the machine's own can be wrong.
  const build = config.clock === 'led' ? { ...stamp, builtAt: 0 } : stamp
  // Before anything is touched: a gateway that cannot listen leaves no trace in the data.
  await mustBeFree(config.http)
  if (config.broker === undefined) await mustBeFree(config.mqtt)
  makeFolder(config.data)
  const readerScript = new URL('./store/sqlite/reader-worker.js', import.meta.url)
  const store = await openSqliteStore(join(config.data, 'cirewatch.db'), { readerScript })
  const inlet = openInlet(config, clock)
  const gateway = await assemble(config, {
    clock,
    inlet,
    store,
    log,
    build,
    dashboard: join(buildFolder, 'dashboard'),
    disk: () => diskRoom(config.data),
    ...backupsOf(config),
  })
  const at = await gateway.open()
  log.info({ ...shownConfig(config), version: stamp.version, listening: at }, 'the gateway is up')
  if (!process.send)
    process.stderr.write(`\n  Open ${pageOf(at.http, config)}\n\nInstruments publish to ${at.mqtt}. Ctrl-C ends it.\n`)
  stopCleanly(gateway, log)
  if (clock instanceof LedClock) beLed(clock, gateway)
  process.send?.({ ready: at })
}

if (process.argv.includes('--help')) {
  process.stdout.write(settingsHelp())
  process.exit(0)
}
let config: Config
try {
  config = readConfig(process.argv.slice(2), process.env)
} catch (error) {
  refuse(error instanceof ConfigRefusal ? error.message : String(error), exitConfig)
}
try {
  await start(config)
} catch (error) {
  const sentence = sentenceFor(error, config)
  if (sentence !== null) refuse(sentence, exitConfig)
  openLog(config.log === 'silent' ? 'error' : config.log).error({ err: error }, 'the gateway cannot start')
  refuse('The gateway cannot start; the log line above says why.', exitCrash)
}
