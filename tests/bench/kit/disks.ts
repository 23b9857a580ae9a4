/** Where a bench writes: on the disk that holds this checkout, and in memory where the system offers it. */
import { existsSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs'
import { join } from 'node:path'

export interface Disk {
  name: 'disk' | 'memory (tmpfs)'
  /** A fresh folder on it. */
  folder(): string
  /** Removes every folder that was handed out. */
  clear(): void
}

/** Where a bench was broken off, its gigabytes go too. */
const everHandedOut: string[] = []
for (const signal of ['SIGINT', 'SIGTERM'] as const)
  process.once(signal, () => {
    for (const path of everHandedOut) rmSync(path, { recursive: true, force: true })
    process.exit(1)
  })

export function disks(): Disk[] {
  const onDisk = disk('disk', join(import.meta.dirname, '..', '..', '..', 'bench-data'))
  return existsSync('/dev/shm') ? [onDisk, disk('memory (tmpfs)', '/dev/shm')] : [onDisk]
}

function disk(name: Disk['name'], base: string): Disk {
  const handedOut: string[] = []
  return {
    name,
    folder() {
      mkdirSync(base, { recursive: true })
      const path = mkdtempSync(join(base, 'cirewatch-bench-'))
      handedOut.push(path)
      everHandedOut.push(path)
      return path
    },
    clear() {
      for (const path of handedOut.splice(0)) rmSync(path, { recursive: true, force: true })
    },
  }
}
