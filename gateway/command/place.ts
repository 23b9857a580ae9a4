/** Where the gateway's database lies, by the same settings that a gateway reads. */
import { join } from 'node:path'
import { type Config, readConfig } from '../config.ts'

/** The settings that the words of a verb may bring along. */
export interface PlaceWords {
  data?: string | undefined
  config?: string | undefined
}

export function settingsOf({ data, config }: PlaceWords): Config {
  const flags = [...(data === undefined ? [] : ['--data', data]), ...(config === undefined ? [] : ['--config', config])]
  return readConfig(flags, process.env)
}

export function databaseIn(folder: string): string {
  return join(folder, 'cirewatch.db')
}
