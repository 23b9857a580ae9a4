/** Settings: defaults < file < environment < flags. Unknown keys are refused with their place; what is unsafe is refused with the reason. */
import { readFileSync } from 'node:fs'
import { homedir, platform } from 'node:os'
import { join, resolve } from 'node:path'
import { z } from 'zod'
import { backupHoursMax, backupKeepMax, keepDaysMax, keepDaysMin } from '../shared/contract/index.ts'
import { isLoopback } from './loopback.ts'
import { mailDefaults, mailFields, mailRefusal, shownMail } from './mail/settings.ts'

/** A configuration that cannot be used; the message is one sentence for a person. */
export class ConfigRefusal extends Error {
  override readonly name = 'ConfigRefusal'
}

export interface Endpoint {
  host: string
  port: number
}

function endpoint(text: string): Endpoint | null {
  const match = /^(?:\[([0-9a-fA-F:]+)\]|([^:\s]+)):(\d{1,5})$/.exec(text)
  const port = Number(match?.[3])
  const host = match?.[1] ?? match?.[2]
  return host === undefined || port > 65_535 ? null : { host, port }
}

const EndpointText = z.string().transform((text, context): Endpoint => {
  const parsed = endpoint(text)
  if (parsed) return parsed
  context.addIssue({ code: 'custom', message: `must be HOST:PORT, for example 127.0.0.1:8470; it is "${text}"` })
  return z.NEVER
})

/** Fewer letters can be guessed. */
const tokenLettersMin = 16

const keepDaysReason = 'days that readings are kept; a bad pour is asked about a year later'

/** A whole number, also where it is written as text in a flag or the environment. */
function whole(min: number, max: number, what: string) {
  const sentence = `must be a whole number from ${min} to ${max} (${what})`
  return z.preprocess(
    (value) => (typeof value === 'string' && /^\d+$/.test(value.trim()) ? Number(value) : value),
    z.int(sentence).min(min, sentence).max(max, sentence),
  )
}

const Settings = z.strictObject({
  data: z.string().min(1),
  http: EndpointText,
  mqtt: EndpointText,
  broker: z
    .string()
    .regex(/^(mqtts?|wss?):\/\/.+/, 'must be a URL such as mqtt://broker.local:1883')
    .optional(),
  mqttName: z.string().min(1).optional(),
  mqttPassword: z.string().min(1).optional(),
  mqttPasswordFile: z.string().min(1).optional(),
  bootstrapToken: z.string().min(tokenLettersMin, `must have at least ${tokenLettersMin} letters`).optional(),
  bootstrapTokenFile: z.string().min(1).optional(),
  backups: z.string().min(1).optional(),
  backupHours: whole(1, backupHoursMax, 'hours between two backups'),
  backupKeep: whole(1, backupKeepMax, 'backups that are kept'),
  keepDays: whole(keepDaysMin, keepDaysMax, keepDaysReason).optional(),
  ...mailFields,
  clock: z.enum(['site', 'led']),
  log: z.enum(['debug', 'info', 'warn', 'error', 'silent']),
})
type Settings = z.infer<typeof Settings>

export interface Config extends Omit<Settings, 'mqttPasswordFile' | 'bootstrapTokenFile' | 'mailPasswordFile'> {
  /** Where each setting that is no default came from: for `print-config` and for errors. */
  from: Record<string, string>
}

type Raw = Record<string, unknown>

const keys = Object.keys(Settings.shape)
const environmentName = (key: string) => `CIREWATCH_${key.replace(/[A-Z]/g, (l) => `_${l}`).toUpperCase()}`
const flagName = (key: string) => `--${key.replace(/[A-Z]/g, (l) => `-${l.toLowerCase()}`)}`

/** What `--help` prints. */
export function settingsHelp(): string {
  const lines = keys
    .filter((key) => key !== 'clock')
    .map((key) => `  ${flagName(key).padEnd(26)} ${environmentName(key)}`)
  return `Flags of npm start (after --), and the environment variable of each:\n  --config FILE              CIREWATCH_CONFIG\n${lines.join('\n')}\nREADME.md, under Settings, says what each is.\n`
}

/** The platform's folder for data, never the current directory. */
export function dataFolder(environment: NodeJS.ProcessEnv, system = platform(), home = homedir()): string {
  const state = environment['STATE_DIRECTORY']
  if (state) return state
  if (system === 'win32') return join(environment['LOCALAPPDATA'] ?? join(home, 'AppData', 'Local'), 'Cirewatch')
  if (system === 'darwin') return join(home, 'Library', 'Application Support', 'Cirewatch')
  return join(environment['XDG_DATA_HOME'] ?? join(home, '.local', 'share'), 'cirewatch')
}

function fromFlags(argv: readonly string[]): Raw {
  const raw: Raw = {}
  for (let i = 0; i < argv.length; i++) {
    const [flag = '', inline] = (argv[i] ?? '').split(/=(.*)/s)
    if (flag === '--config') {
      raw['config'] = inline ?? argv[++i]
      continue
    }
    const key = keys.find((k) => flagName(k) === flag)
    if (key === undefined)
      throw new ConfigRefusal(`There is no flag "${flag}"; known are --config, ${keys.map(flagName).join(', ')}.`)
    const value = inline ?? argv[++i]
    if (value === undefined || value.startsWith('--')) throw new ConfigRefusal(`The flag ${flag} needs a value.`)
    raw[key] = value
  }
  return raw
}

function fromEnvironment(environment: NodeJS.ProcessEnv): Raw {
  const raw: Raw = {}
  for (const [name, value] of Object.entries(environment)) {
    if (!name.startsWith('CIREWATCH_') || name.startsWith('CIREWATCH_TEST_') || value === undefined) continue
    if (name === 'CIREWATCH_CONFIG') {
      raw['config'] = value
      continue
    }
    const key = keys.find((k) => environmentName(k) === name)
    if (key === undefined)
      throw new ConfigRefusal(
        `The environment holds ${name}, which is no setting; known are ${keys.map(environmentName).join(', ')}.`,
      )
    raw[key] = value
  }
  return raw
}

function fromFile(path: string): Raw {
  let text: string
  try {
    text = readFileSync(path, 'utf8')
  } catch {
    throw new ConfigRefusal(`The configuration file ${path} cannot be read.`)
  }
  try {
    const json = JSON.parse(text) as unknown
    if (typeof json === 'object' && json !== null && !Array.isArray(json)) return json as Raw
  } catch {
    throw new ConfigRefusal(`The configuration file ${path} is not JSON.`)
  }
  throw new ConfigRefusal(`The configuration file ${path} must hold one JSON object.`)
}

function secret(value: string | undefined, file: string | undefined, name: string): string | undefined {
  if (file === undefined) return value
  if (value !== undefined) throw new ConfigRefusal(`Both ${name} and ${name}File are set; keep one.`)
  try {
    return readFileSync(file, 'utf8').trim()
  } catch {
    throw new ConfigRefusal(`The file named by ${name}File cannot be read: ${file}.`)
  }
}

/** Beyond loopback nothing stands open. */
function refuseOpenDoors(config: Config): void {
  if (!isLoopback(config.http.host) && config.bootstrapToken === undefined)
    throw new ConfigRefusal(
      `HTTP would be reachable from the network (${config.http.host}) without a token; set CIREWATCH_BOOTSTRAP_TOKEN (at least 16 letters) or listen on 127.0.0.1.`,
    )
  const open = config.broker === undefined && !isLoopback(config.mqtt.host)
  if (open && (config.mqttName === undefined || config.mqttPassword === undefined))
    throw new ConfigRefusal(
      `MQTT would be reachable from the network (${config.mqtt.host}) by anybody; set CIREWATCH_MQTT_NAME and CIREWATCH_MQTT_PASSWORD or listen on 127.0.0.1.`,
    )
}

/** Reads all four places. Throws `ConfigRefusal` with one sentence. */
export function readConfig(argv: readonly string[], environment: NodeJS.ProcessEnv): Config {
  const defaults: Raw = {
    data: dataFolder(environment),
    http: '127.0.0.1:8470',
    mqtt: '127.0.0.1:1883',
    backupHours: 24,
    backupKeep: 7,
    ...mailDefaults,
    clock: 'site',
    log: 'info',
  }
  const { config: fileByFlag, ...flags } = fromFlags(argv)
  const { config: fileByEnvironment, ...settings } = fromEnvironment(environment)
  const path = (fileByFlag ?? fileByEnvironment) as string | undefined
  const file = path === undefined ? {} : fromFile(path)

  const from: Record<string, string> = {}
  for (const key of Object.keys(file)) from[key] = `"${key}" in ${path}`
  for (const key of Object.keys(settings)) from[key] = environmentName(key)
  for (const key of Object.keys(flags)) from[key] = flagName(key)

  const parsed = Settings.safeParse({ ...defaults, ...file, ...settings, ...flags })
  if (!parsed.success) {
    const issue = parsed.error.issues[0]
    if (issue?.code === 'unrecognized_keys')
      throw new ConfigRefusal(
        `The configuration file ${path} holds "${issue.keys[0]}", which is no setting; known are ${keys.join(', ')}.`,
      )
    const key = String(issue?.path[0])
    throw new ConfigRefusal(`${from[key] ?? key} is not usable: ${issue?.message}.`)
  }
  const { mqttPasswordFile, bootstrapTokenFile, mailPasswordFile, ...rest } = parsed.data
  const config: Config = { ...rest, data: resolve(rest.data), from }
  if (rest.backups !== undefined) config.backups = resolve(rest.backups)
  const password = secret(rest.mqttPassword, mqttPasswordFile, 'mqttPassword')
  const mailPassword = secret(rest.mailPassword, mailPasswordFile, 'mailPassword')
  const token = secret(rest.bootstrapToken, bootstrapTokenFile, 'bootstrapToken')
  // A file may hold too little as well as a setting may: an empty one would open the door to an empty word.
  if (password === '') throw new ConfigRefusal(`The file named by mqttPasswordFile is empty: ${mqttPasswordFile}.`)
  if (mailPassword === '') throw new ConfigRefusal(`The file named by mailPasswordFile is empty: ${mailPasswordFile}.`)
  if (token !== undefined && token.length < tokenLettersMin)
    throw new ConfigRefusal(
      `The file named by bootstrapTokenFile must hold at least ${tokenLettersMin} letters: ${bootstrapTokenFile}.`,
    )
  if (password !== undefined) config.mqttPassword = password
  if (mailPassword !== undefined) config.mailPassword = mailPassword
  if (token !== undefined) config.bootstrapToken = token
  refuseOpenDoors(config)
  const refusal = mailRefusal(config)
  if (refusal !== null) throw new ConfigRefusal(refusal)
  return config
}

/** The configuration as it may be shown: secrets only as *set*. */
export function shownConfig(config: Config): Record<string, string> {
  const at = ({ host, port }: Endpoint) => `${host.includes(':') ? `[${host}]` : host}:${port}`
  return {
    data: config.data,
    http: at(config.http),
    mqtt: config.broker === undefined ? at(config.mqtt) : 'off',
    broker: config.broker?.replace(/\/\/.*@/, '//…@') ?? 'embedded',
    mqttName: config.mqttName ?? 'not set',
    mqttPassword: config.mqttPassword === undefined ? 'not set' : 'set',
    bootstrapToken: config.bootstrapToken === undefined ? 'not set' : 'set',
    backups: config.backups ?? 'not set: none are made',
    backupHours: String(config.backupHours),
    backupKeep: String(config.backupKeep),
    keepDays: config.keepDays === undefined ? 'not set: everything is kept' : String(config.keepDays),
    ...shownMail(config),
    clock: config.clock,
    log: config.log,
  }
}
