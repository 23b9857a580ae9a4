/** The seam to wherever backups lie: what upkeep must be able to ask. The promises stand here; the SQLite room keeps them. */
import type { BackupListed, BackupMaking } from '../../shared/contract/index.ts'
import type { EpochMs } from '../../shared/time.ts'

export interface BackupPlace {
  readonly folder: string
  /** Newest first; each was verified before it got its name. */
  list(): Promise<BackupListed[]>
  /** Resolves when it is on disk and verified; rejects with one sentence, having kept nothing. */
  make(at: EpochMs): Promise<BackupListed>
  progress(): BackupMaking | null
  remove(name: string): Promise<void>
  /** Ends what is being made, at once. */
  stop(): void
}
