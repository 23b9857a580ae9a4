/** The folder of backups: what lies there, making one more beside a running gateway, taking an old one away. */
import { type ChildProcess, fork } from 'node:child_process'
import { readdir, rm, stat } from 'node:fs/promises'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { EpochMs } from '../../../../shared/time.ts'
import { StoreRefusal } from '../../refusal.ts'
import { type BackupAsk, backUp, type BackupDone, type BackupProgress } from './backup.ts'
import type { BackupTold } from './backup-child.ts'
import { bytesOf, type FreeBytes } from './disk.ts'
import { timeOfBackup } from './names.ts'

export interface BackupFile {
  name: string
  at: EpochMs
  bytes: number
}

/** How far one has come: 0 … 1 of what it does now. */
export interface BackupShare {
  doing: 'copying' | 'checking'
  share: number
}

export interface BackupsParts {
  /** The gateway's database. */
  source: string
  folder: string
  /** The built backup-child. Without it a backup is made on the thread that asks for it: for tools and tests. */
  script?: URL
  free?: FreeBytes
}

export class Backups {
  readonly folder: string
  readonly #parts: BackupsParts
  #progress: BackupProgress | null = null
  #child: ChildProcess | null = null

  constructor(parts: BackupsParts) {
    this.#parts = parts
    this.folder = parts.folder
  }

  /** Newest first. Only files of our own name; each was verified before it got it. A folder that is not there yet holds none. */
  async list(): Promise<BackupFile[]> {
    const files: BackupFile[] = []
    for (const name of await readdir(this.folder).catch(() => [])) {
      const at = timeOfBackup(name)
      const found = at === null ? null : await stat(join(this.folder, name)).catch(() => null)
      if (at !== null && found?.isFile()) files.push({ name, at, bytes: found.size })
    }
    return files.sort((a, b) => b.at - a.at)
  }

  /** Resolves when it is on disk and verified; rejects with a StoreRefusal, having kept nothing. One at a time. */
  async make(at: EpochMs): Promise<BackupDone> {
    const { source, folder, script, free } = this.#parts
    const ask = { source, folder, at }
    const progress = (now: BackupProgress) => {
      this.#progress = now
    }
    try {
      return script === undefined ? backUp(ask, { progress, ...(free && { free }) }) : await this.#inChild(script, ask)
    } finally {
      this.#progress = null
      this.#child = null
    }
  }

  #inChild(script: URL, ask: BackupAsk): Promise<BackupDone> {
    return new Promise((resolve, reject) => {
      const child = fork(fileURLToPath(script), [], { execArgv: [], stdio: ['ignore', 'ignore', 'inherit', 'ipc'] })
      this.#child = child
      child.on('message', (told: BackupTold) => {
        if ('progress' in told) this.#progress = told.progress
        else if ('done' in told) resolve(told.done)
        else reject(new StoreRefusal(told.refused))
      })
      child.once('error', reject)
      child.once('exit', () => reject(new StoreRefusal('The backup ended before it was done; nothing of it was kept.')))
      child.send(ask)
    })
  }

  /** Ends what is being made; half of it may stay behind for the next one to take away. */
  stop(): void {
    this.#child?.kill('SIGKILL')
  }

  /** Null while none is being made. */
  progress(): BackupShare | null {
    const now = this.#progress
    if (now === null) return null
    if (now.stage === 'copying')
      return { doing: 'copying', share: now.bytes === 0 ? 0 : Math.min(1, bytesOf(now.half) / now.bytes) }
    const share = now.stage === 'series' && now.of > 0 ? now.done / now.of : now.stage === 'arrival' ? 1 : 0
    return { doing: 'checking', share }
  }

  /** Only what is a backup by its name. */
  async remove(name: string): Promise<void> {
    if (timeOfBackup(name) === null) throw new StoreRefusal(`${name} is no backup of ours; it was left as it is.`)
    await rm(join(this.folder, name), { force: true })
  }
}
